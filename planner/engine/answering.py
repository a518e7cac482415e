"""What a result of version 2 says of the questions that its case asks."""

from typing import Literal

from planner.engine.fields import Amount, Code, Frozen, Share

Sought = Literal["minimum_sets", "targets", "money", "worst_first", "worth"]


class Stage(Frozen):
    """One thing that was sought after all before it: how far the plan gets, and what was proved.

    ``reached`` and ``bound`` count (site, test) pairs (``minimum_sets``), targets, parts of one
    counted as parts (``targets``), money, which no plan that gets as far before spends less of
    than ``bound`` (``money``), the share of the worst-off groups that are still to rise
    (``worst_first``), or the objective (``worth``). ``groups`` are those that can rise no
    further. ``gap`` is how far both are apart, relative to ``reached``.
    """

    of: Sought
    groups: tuple[str, ...]
    reached: Amount
    bound: Amount
    gap: Amount


class Reached(Frozen):
    """A test of a minimum set at a site: the share of its demand that is done, and why not all.

    ``why`` is empty where the test is reached.
    """

    set: Code
    site: Code
    test: Code
    share: Amount
    reached: bool
    why: str


class TargetReached(Frozen):
    """A target as the case states it, and the share that the plan gets to."""

    area: Code | None
    programme: Code | None
    share: Share
    reached: Amount


class GroupReached(Frozen):
    """An area or a level: the worth that a plan for it alone was found to attain, and its own."""

    code: Code
    attainable: Amount
    reached: Amount
