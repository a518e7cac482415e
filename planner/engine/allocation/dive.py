"""From the relaxed optimum to a whole plan nearby, in seconds.

Shortages make the relaxed optimum take a part of many purchases. A dive settles a few of
them at a time, those nearest to a whole unit first, and lets the relaxation put the rest in
order again; each solve starts where the last one ended. Where links let sites share hubs
this finds in seconds what a search tree does not find in minutes.
"""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.backend.answer import INFEASIBLE, Answer
from planner.engine.allocation.backend.highs import Relaxation
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch

_WHOLE = 1e-6


class Dive:
    """One dive; ``pace`` is the share of the columns not yet whole that a step settles."""

    def __init__(
        self, program: Program, relaxation: Relaxation, watch: Watch, *, pace: float
    ) -> None:
        self._program = program
        self._relaxation = relaxation
        self._watch = watch
        self._pace = pace
        self._budgets = _budgets(program)
        self._least, self._most = program.least.copy(), program.most.copy()

    def point(self, relaxed: Answer) -> Floats | None:
        """A point with whole numbers near ``relaxed``; ``None`` if the dive runs aground."""
        whole = self._program.whole
        x = relaxed.x
        while x is not None:
            part = np.where(whole, x - np.floor(x + _WHOLE), 0.0)
            if not (part > _WHOLE).any():
                return np.where(whole, np.rint(x), x)
            settled = whole & (part <= _WHOLE)
            self._least[settled] = np.maximum(self._least[settled], np.rint(x[settled]))
            x = self._settle(x, self._nearest(part)).x
        return None

    def _nearest(self, part: Floats) -> Ints:
        """Columns to raise now: the nearest to whole, of those more than half of it."""
        ordered = np.argsort(-part, kind="stable")
        number = max(1, int(self._pace * (part > _WHOLE).sum()))
        return ordered[: max(1, min(number, int((part > 0.5).sum())))]

    def _settle(self, x: Floats, raised: Ints) -> Answer:
        """Raise the columns, or as many as can be, or else lower the first of them."""
        while len(raised):
            least = self._least.copy()
            least[raised] = np.ceil(x[raised] - _WHOLE)
            answer = self._solved(least, _afforded(self._budgets, least, self._most))
            if answer.ending != "infeasible":
                return answer
            first, raised = raised[:1], raised[: len(raised) // 2]
        self._most[first] = np.floor(x[first] + _WHOLE)
        return self._solved(self._least, _afforded(self._budgets, self._least, self._most))

    def _solved(self, least: Floats, most: Floats) -> Answer:
        """The relaxed optimum within these bounds, which become those of the dive."""
        if (least > most).any():
            return INFEASIBLE
        answer = self._relaxation.solve(self._watch, least=least, most=most)
        if answer.ending != "infeasible":
            self._least, self._most = least, most
        return answer


@dataclass(frozen=True)
class _Budget:
    """A row that only adds up: whole columns in it stop where it is used up."""

    column: Ints
    factor: Floats
    whole: Bools
    upper: float


def _budgets(program: Program) -> list[_Budget]:
    row = program.row
    adds_up = np.isfinite(program.upper)
    adds_up[row[program.factor < 0]] = False
    has_whole = np.zeros(len(adds_up), dtype=bool)
    has_whole[row[program.whole[program.column]]] = True
    budgets = []
    for number in np.flatnonzero(adds_up & has_whole):
        span = slice(program.start[number], program.start[number + 1])
        column = program.column[span]
        budgets.append(
            _Budget(column, program.factor[span], program.whole[column], program.upper[number])
        )
    return budgets


def _afforded(budgets: list[_Budget], least: Floats, most: Floats) -> Floats:
    """``most``, lowered to what each budget still allows once every ``least`` is paid."""
    most = most.copy()
    for budget in budgets:
        left = max(0.0, budget.upper - float(budget.factor @ least[budget.column]))
        column = budget.column[budget.whole]
        units = np.floor(left / budget.factor[budget.whole] + _WHOLE)
        most[column] = np.minimum(most[column], least[column] + units)
    return most
