"""Seeking one thing after the other, each among the plans that keep what is secured."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.attainment import Sought
from planner.engine.allocation.backend import SolverName
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.columns import NONE
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.search import best_plan
from planner.engine.allocation.tight import TightModel
from planner.engine.answering import Sought as SoughtKind
from planner.engine.answering import Stage

SLACK = 1e-7
"""Relative: by so little a later stage may fall behind an earlier one, for solvers' rounding."""


_SHARE_OF_TIME = 0.4  # of what is left, for one stage before the last


@dataclass
class Staged:
    """The program with what the stages so far have secured, and what they reached.

    ``latest`` is the last plan found; ``attainable`` has the worth that each group could get.
    ``impossible`` is the answer of the first stage if no plan keeps all limits.
    """

    model: TightModel
    solver: SolverName
    watch: Watch
    gap: float
    stages: list[Stage] = field(default_factory=list)
    attainable: list[float] = field(default_factory=list)
    latest: Floats | None = None
    impossible: Answer | None = None

    @property
    def program(self) -> Program:
        return self.model.program

    def seek(self, gain: Floats, *, gap: float) -> Answer:
        """The best plan for ``gain`` among those that keep what is secured."""
        with self.watch.aside(_SHARE_OF_TIME):
            answer = best_plan(self.program.aiming_at(gain), self.solver, self.watch, gap=gap)
        if answer.ending == "infeasible" and self.latest is None:
            self.impossible = answer
        if answer.x is not None:
            self.latest = answer.x
        return answer

    def sought(self) -> Sought:
        """What the stages reached and proved, for the result."""
        return Sought(tuple(self.stages), tuple(self.attainable), tuple(self._possible()))

    def _possible(self) -> Iterator[bool]:
        """Of each pair of the minimum sets, whether anything can serve it at all."""
        arc, method = np.nonzero(self.model.columns.share != NONE)
        origin = self.model.instance.places.origin[arc]
        test = self.model.instance.catalogue.test_of[method]
        served = set(zip(origin.tolist(), test.tolist(), strict=True))
        for pair in self.model.instance.asked.pairs:
            yield (pair.site, pair.test) in served

    def secure(self, column_factors: Floats, least: float) -> None:
        """From now on the weighted sum of columns is at least ``least``."""
        self.model = replace(
            self.model, program=self.program.requiring(column_factors, lower=least)
        )

    def reached(
        self, of: SoughtKind, value: float, bound: float, groups: tuple[str, ...] = ()
    ) -> None:
        """Note a stage, with what it reached and what was proved about it."""
        value, bound = max(0.0, value), max(0.0, bound)
        gap = abs(bound - value) / max(abs(value), 1e-9)
        self.stages.append(Stage(of=of, groups=groups, reached=value, bound=bound, gap=gap))
