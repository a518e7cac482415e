"""Finding the best plan: a proven bound, good plans quickly, then the search tree.

Shortages make the relaxed optimum take a share of many purchases. A dive settles a few of
them at a time, those nearest to a whole unit first, and lets the relaxation put the rest in
order again; each solve starts where the last one ended. Where links let sites share hubs
this finds in seconds what the search tree alone does not find in minutes.
"""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.backend import SOLVERS, SolverName
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.backend.highs import Relaxation
from planner.engine.allocation.instance import Bools, Floats, Ints
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch, gap_between

_WHOLE = 1e-6
# Shares of the columns that are not whole yet, settled at each step of a dive: one dive each.
_PACES = (0.05, 0.02, 0.25)


def best_plan(program: Program, solver: SolverName, watch: Watch, *, gap: float) -> Answer:
    """The best point of ``program`` that is found until ``gap`` is reached or time is up.

    Everything but the time at which a run is cut short depends on the program alone.
    """
    if solver == "cbc":
        watch.enter("search")
        return SOLVERS[solver].maximise(program, watch, gap=gap, tell=watch.saw)
    watch.enter("bound")
    relaxation = Relaxation(program)
    relaxed = relaxation.solve(watch)
    if relaxed.x is None:
        return relaxed
    watch.saw(None, relaxed.bound)
    watch.enter("first plans")
    best = _best_dive(program, relaxation, relaxed, watch, gap=gap)
    if best.ending == "solved":
        return best
    watch.enter("search")
    found = SOLVERS[solver].maximise(program, watch, gap=gap, start=best.x, tell=watch.saw)
    if best.x is None:
        return found
    bound = min(best.bound, found.bound) if found.ending != "infeasible" else best.bound
    if found.x is None or found.value < best.value:
        return Answer(found.ending, best.x, best.value, max(bound, best.value))
    return Answer(found.ending, found.x, found.value, max(bound, found.value))


def _best_dive(
    program: Program, relaxation: Relaxation, relaxed: Answer, watch: Watch, *, gap: float
) -> Answer:
    best = Answer("stopped", None, float("-inf"), relaxed.bound)
    for pace in _PACES:
        x = _dive(program, relaxation, relaxed, watch, pace)
        if x is not None and program.value(x) > best.value:
            value = program.value(x)
            closed = gap_between(value, relaxed.bound) <= gap
            best = Answer("solved" if closed else "stopped", x, value, relaxed.bound)
            watch.saw(value, None)
        if best.ending == "solved" or watch.left == 0.0:
            break
    return best


def _dive(
    program: Program, relaxation: Relaxation, relaxed: Answer, watch: Watch, pace: float
) -> Floats | None:
    """A point with whole numbers near ``relaxed``; ``None`` if the dive fails."""
    budgets = _budgets(program)
    least, most = program.least.copy(), program.most.copy()
    answer = relaxed
    while answer.x is not None:
        x = answer.x
        part = np.where(program.whole, x - np.floor(x + _WHOLE), 0.0)
        not_whole = np.flatnonzero(part > _WHOLE)
        if len(not_whole) == 0:
            return x
        settled = program.whole & (part <= _WHOLE)
        least[settled] = np.maximum(least[settled], np.rint(x[settled]))
        nearest = not_whole[np.argsort(-part[not_whole], kind="stable")]
        raised = nearest[: max(1, int(pace * len(nearest)))]
        raised = raised[: max(1, int((part[raised] > 0.5).sum()))]
        answer = _settle(relaxation, budgets, x, raised, least, most, watch)
    return None


def _settle(
    relaxation: Relaxation,
    budgets: list["_Budget"],
    x: Floats,
    raised: Ints,
    least: Floats,
    most: Floats,
    watch: Watch,
) -> Answer:
    """Round ``raised`` up, or fewer of them, or the first of them down; moves the bounds."""
    while True:
        higher, lower = least.copy(), most.copy()
        higher[raised] = np.ceil(x[raised] - _WHOLE)
        _afford(budgets, higher, lower)
        if (higher <= lower).all():
            answer = relaxation.solve(watch, least=higher, most=lower)
            if answer.ending != "infeasible":
                least[:], most[:] = higher, lower
                return answer
        if len(raised) == 1:
            most[raised] = np.floor(x[raised] + _WHOLE)
            _afford(budgets, least, most)
            return relaxation.solve(watch, least=least, most=most)
        raised = raised[: len(raised) // 2]


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


def _afford(budgets: list[_Budget], least: Floats, most: Floats) -> None:
    """Lower ``most`` to what each budget still allows once every ``least`` is paid."""
    for budget in budgets:
        left = budget.upper - float(budget.factor @ least[budget.column])
        units = np.floor(max(0.0, left) / budget.factor + _WHOLE)
        column, whole = budget.column, budget.whole
        most[column[whole]] = np.minimum(most[column[whole]], least[column[whole]] + units[whole])
