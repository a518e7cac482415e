"""The solvers behind one door: a ``Program`` goes in, an ``Answer`` comes out."""

from typing import Literal, Protocol

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.backend import cbc, highs
from planner.engine.allocation.backend.answer import Answer, Tell
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch

SolverName = Literal["highs", "cbc"]


class Solver(Protocol):
    """What a module of this package offers."""

    NAME: str

    def maximise(
        self,
        program: Program,
        watch: Watch,
        *,
        gap: float = 0.0,
        seconds: float | None = None,
        nodes: int | None = None,
        start: Floats | None = None,
        tell: Tell | None = None,
    ) -> Answer: ...


SOLVERS: dict[SolverName, Solver] = {"highs": highs, "cbc": cbc}
