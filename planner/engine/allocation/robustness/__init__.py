"""How a plan does if prices, demand, devices and supplies turn out otherwise than assumed."""

from planner.engine.allocation.robustness.assumptions import (
    STATED,
    Assumptions,
    Stated,
    certain,
)
from planner.engine.allocation.robustness.figures import Spread, spread_of, worst_tenth
from planner.engine.allocation.robustness.findings import Candidate, Frequency, Robustness
from planner.engine.allocation.robustness.study import robustness

__all__ = [
    "STATED",
    "Assumptions",
    "Candidate",
    "Frequency",
    "Robustness",
    "Spread",
    "Stated",
    "certain",
    "robustness",
    "spread_of",
    "worst_tenth",
]
