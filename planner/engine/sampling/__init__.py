"""Which items to check, how many, and what the count of failures then says.

``risks``: the chance of accepting a lot for every share of failures. ``rules``: sample size
and decision rule from stated risks. ``draw``: the sample itself, which anybody can draw
again from the frame and the seed. ``concordance``: how far register and check agree.
"""

from planner.engine.sampling.concordance import Kappa, kappa
from planner.engine.sampling.draw import Drawn, Frame, allocate, draw
from planner.engine.sampling.risks import acceptance
from planner.engine.sampling.rules import (
    Rule,
    lowest_passes,
    single_rule,
    zero_failure_size,
)

__all__ = [
    "Drawn",
    "Frame",
    "Kappa",
    "Rule",
    "acceptance",
    "allocate",
    "draw",
    "kappa",
    "lowest_passes",
    "single_rule",
    "zero_failure_size",
]
