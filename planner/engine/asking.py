"""What a planning case of version 2 asks beyond the most tests within the limits."""

from typing import Literal

from planner.engine.fields import Code, Count, Frozen

ActionKind = Literal["buy", "repair", "train", "provide"]


class Fixed(Frozen):
    """An action that a plan must take, ``at_least`` so often, or may not take more often.

    ``item`` is the code of a device model, a skill or an infrastructure item, by ``kind``.
    """

    site: Code
    kind: ActionKind
    item: Code
    at_least: Count
    at_most: Count | None
