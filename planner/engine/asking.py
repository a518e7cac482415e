"""What a planning case of version 2 asks beyond the most tests within the limits."""

from typing import Literal

from pydantic import Field

from planner.engine.fields import Amount, Code, Count, Frozen

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


class Bundle(Frozen):
    """What belongs to a model: it is bought only where the site has or is given all of it.

    ``cost`` is paid for each unit bought, beside its price: first reagents, installation,
    verification. A model has one bundle at most.
    """

    code: Code
    name: str
    model: Code
    skills: tuple[Code, ...]
    infrastructure: tuple[Code, ...]
    cost: Amount


class Move(Frozen):
    """Working units of a model that may be brought from one site to another, at a cost each."""

    origin: Code = Field(alias="from")
    to: Code
    model: Code
    units: Count
    cost: Amount
