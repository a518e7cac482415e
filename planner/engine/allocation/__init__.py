"""The budget problem: which purchases, repairs and training make the most tests possible."""

from planner.engine.allocation.backend import SolverName
from planner.engine.allocation.progress import Progress
from planner.engine.allocation.solve import plan, today

__all__ = ["Progress", "SolverName", "plan", "today"]
