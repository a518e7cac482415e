"""The budget problem: which purchases, repairs and training make the most tests possible."""

from planner.engine.allocation.backend import SolverName
from planner.engine.allocation.frontier import Frontier, frontier
from planner.engine.allocation.progress import Progress, gap_at_most
from planner.engine.allocation.solve import plan, today

__all__ = [
    "Frontier",
    "Progress",
    "SolverName",
    "frontier",
    "gap_at_most",
    "plan",
    "today",
]
