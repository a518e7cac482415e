"""What a solver answers, and what it may say when it fails."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.program import Program
from planner.engine.errors import EngineError

Ending = Literal["solved", "infeasible", "stopped"]
Tell = Callable[[float | None, float | None], None]


class SolverError(EngineError):
    """A solver failed, for a reason that lies neither in the case nor in the time allowed."""


@dataclass(frozen=True)
class Answer:
    """The best point found (``None``: none), its value, and what no point can exceed.

    ``ending`` is ``solved`` when the gap asked was reached, ``stopped`` when time or
    patience ran out first.
    """

    ending: Ending
    x: Floats | None
    value: float
    bound: float


def without_columns(program: Program) -> Answer:
    """The answer to a program that leaves nothing to decide; solvers disagree on those."""
    possible = ((program.lower <= 0) & (program.upper >= 0)).all()
    return Answer("solved", np.zeros(0), 0.0, 0.0) if possible else INFEASIBLE


LARGEST_VIOLATION = 1e-6  # of a row whose largest factor is 1; more is a wrong answer
NO_POINT = float("-inf")
NO_BOUND = float("inf")
INFEASIBLE = Answer("infeasible", None, NO_POINT, NO_POINT)
