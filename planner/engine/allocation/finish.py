"""From a good plan to the one that is reported: of equal plans the cheapest, nothing idle.

Spare money would else buy units that nobody uses, and which of two equal plans comes out
would be left to chance. Money decides; after that, the order of codes.
"""

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.backend import Solver
from planner.engine.allocation.backend.answer import SolverError
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import TightModel

_SMALL = 20_000  # entries; in a larger program no equal plan with other purchases is sought
_NODES = 500
_SECONDS = 20.0
_SNAP = 1e-8  # wider than the solvers' tolerance, so that no share is left without its unit
_ROW_SLACK = 2e-9


def finished(model: TightModel, x: Floats, solver: Solver, watch: Watch, *, proven: bool) -> Floats:
    """A plan worth as much as ``x`` that spends as little as can be found.

    If ``x`` is ``proven`` to be best and the program is small, other purchases are tried.
    Then volumes are chosen for greatest worth and least running cost, and what they leave
    idle is not bought. A cancelled run reports ``x`` as it is.
    """
    x = _snapped(model.program, x)
    if watch.cancelled:
        return x
    if proven and model.program.size[2] <= _SMALL:
        x = _cheapest_equal(model, x, solver, watch)
    x = _best_volumes(model, x, solver, watch)
    return _without_idle(model, x, solver, watch)


def _snapped(program: Program, x: Floats) -> Floats:
    """Whole numbers, and shares that are 0 or 1 where they are within rounding of it."""
    nearest = np.rint(x)
    return np.where(program.whole | (np.abs(x - nearest) <= _SNAP), nearest, x)


def _cheapest_equal(model: TightModel, x: Floats, solver: Solver, watch: Watch) -> Floats:
    as_good = model.program.gaining_at_least(model.program.value(x))
    program = as_good.aiming_at(-model.spending)
    found = _point(program, solver, watch, nodes=_NODES, start=x)
    return x if found is None else _snapped(model.program, found)


def _best_volumes(model: TightModel, x: Floats, solver: Solver, watch: Watch) -> Floats:
    program = model.program
    bought = program.within(
        least=np.where(program.whole, x, program.least),
        most=np.where(program.whole, x, program.most),
    )
    best = _point(bought, solver, watch)
    if best is None:
        return x
    as_good = bought.gaining_at_least(bought.value(best))
    cheapest = _point(as_good.aiming_at(-model.running_cost), solver, watch)
    return _snapped(program, best if cheapest is None else cheapest)


def _without_idle(model: TightModel, x: Floats, solver: Solver, watch: Watch) -> Floats:
    """The cheapest part of the actions in ``x`` that still carries all of its volumes.

    The sites are independent of each other here, so this takes no time.
    """
    program = model.program
    least = np.where(program.whole, program.least, x)
    kept = program.within(least=least, most=x).loosened(_ROW_SLACK)
    # Something for each unit, lest units that cost nothing stay idle.
    for_each = 1e-6 * max(1.0, float(model.spending.max(initial=0.0)))
    found = _point(kept.aiming_at(-(model.spending + for_each) * program.whole), solver, watch)
    return x if found is None else _snapped(program, found)


def _point(
    program: Program,
    solver: Solver,
    watch: Watch,
    *,
    nodes: int | None = None,
    start: Floats | None = None,
) -> Floats | None:
    """A solution, or ``None``: without it the plan is less tidy, but no worse."""
    try:
        return solver.maximise(program, watch, seconds=_SECONDS, nodes=nodes, start=start).x
    except SolverError:
        return None
