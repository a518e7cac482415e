"""Finding the best plan: a proven bound, good plans quickly, then the search tree."""

from dataclasses import replace

from planner.engine.allocation.backend import SOLVERS, SolverName
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.backend.highs import Relaxation
from planner.engine.allocation.dive import Dive
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch, gap_between

# Shares of the columns that are not whole yet, settled at each step of a dive: one dive each.
_PACES = (0.05, 0.02, 0.25)


def best_plan(
    program: Program, solver: SolverName, watch: Watch, *, gap: float, known: Answer | None = None
) -> Answer:
    """The best point of ``program`` that is found until ``gap`` is reached or time is up.

    ``known`` are a point to begin from and a bound, if there are any. Everything but the
    time at which a run is cut short depends on the program and on them alone.
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
    if known is None or known.x is None:
        best = _best_dive(program, relaxation, relaxed, watch, gap=gap)
    else:
        best = replace(known, bound=min(known.bound, relaxed.bound))
    if best.ending == "solved" or watch.left == 0.0:
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
        x = Dive(program, relaxation, watch, pace=pace).point(relaxed)
        if x is not None and program.value(x) > best.value:
            value = program.value(x)
            closed = gap_between(value, relaxed.bound) <= gap
            best = Answer("solved" if closed else "stopped", x, value, relaxed.bound)
            watch.saw(value, None)
        if best.ending == "solved" or watch.left == 0.0:
            break
    return best
