"""Plans as results: everything is recomputed from the actions and volumes that are reported."""

from math import fsum

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.attainment import Sought, attained, gap_of
from planner.engine.allocation.funds import drawn
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.listing import actions_of, moves_of_plan, volumes_of
from planner.engine.allocation.progress import gap_between
from planner.engine.answering import Stage
from planner.engine.case import Case, Money, Relaxation, Result
from planner.engine.errors import EngineError

_DECIMALS = 6  # volumes below 1e-6 tests a year are left out
_SOLVERS_ROUNDING = 1e-11  # relative
_ROUNDING = 1e-6  # relative; figures closer than this are taken as equal
_NOTHING = Money(capital=0.0, recurrent=0.0, earmarks={})


def planned(
    case: Case,
    instance: Instance,
    quantities: Ints,
    moved: Ints,
    shares: Floats,
    *,
    bound: float,
    asked_gap: float,
    before: float | None,
    solver: str,
    seconds: float,
    sought: Sought | None = None,
) -> Result:
    """The result of ``quantities`` (sites × actions), units ``moved`` (moves) and ``shares``
    (arcs × methods), with what was ``sought`` before most tests.

    ``before`` is the objective without any action; ``None`` if this is that plan. Raises
    ``EngineError`` if ``bound`` is below the objective.
    """
    volumes = _cut(shares * instance.places.volume[:, instance.catalogue.test_of])
    arc, method = np.nonzero(volumes)
    objective = fsum(instance.catalogue.value[method] * volumes[arc, method])
    bound = _checked_bound(objective, bound, staged=sought is not None and bool(sought.stages))
    gap = gap_between(objective, bound)
    actions = (*actions_of(instance, quantities), *moves_of_plan(instance, moved))
    last = Stage(of="worth", groups=(), reached=objective, bound=bound, gap=gap)
    spent = fsum(action.cost for action in actions)
    found = attained(case, instance, sought or Sought(), volumes, spent, last)
    widest = max(gap, gap_of(found.stages))
    return Result(
        format="benchward-result",
        version=case.version,
        case_sha256=case.sha256(),
        status="optimal" if widest <= asked_gap + _ROUNDING else "feasible",
        objective=objective,
        bound=bound,
        gap=gap,
        seconds=seconds,
        solver=solver,
        money=_money(case, instance, quantities, moved, volumes),
        actions=actions,
        volumes=tuple(volumes_of(instance, volumes)),
        objective_before=objective if before is None else before,
        reasons=(),
        stages=found.stages,
        minimum_sets=found.minimum_sets,
        targets=found.targets,
        groups=found.groups,
    )


def excluded(
    case: Case, reasons: tuple[Relaxation, ...], *, before: float, solver: str, seconds: float
) -> Result:
    """The result where the limits exclude every plan."""
    return Result(
        format="benchward-result",
        version=case.version,
        case_sha256=case.sha256(),
        status="infeasible",
        objective=None,
        bound=None,
        gap=None,
        seconds=seconds,
        solver=solver,
        money=_NOTHING,
        actions=(),
        volumes=(),
        objective_before=before,
        reasons=reasons,
    )


def _cut(volumes: Floats) -> Floats:
    """Cut off below the last decimal, since rounding up could overstep a limit.

    A whole number that the solver missed by its own rounding stays whole.
    """
    nearest = np.round(volumes)
    whole = np.abs(volumes - nearest) <= _SOLVERS_ROUNDING * np.maximum(1.0, nearest)
    scale = 10.0**_DECIMALS
    return np.maximum(np.where(whole, nearest, np.floor(volumes * scale) / scale), 0.0)


def _checked_bound(objective: float, bound: float, *, staged: bool) -> float:
    """``bound``, made equal to the objective where only rounding parts them.

    Where something was sought before, the slack that secures it is rounding too.
    """
    rounding = _ROUNDING * max(1.0, abs(objective))
    if bound < objective - rounding:
        raise EngineError(
            f"The bound {bound:.10g} is below the objective {objective:.10g} of a plan.",
            remedy="The proof behind the bound is wrong: report the case to the developers.",
        )
    least = rounding if staged else 1e-3 * rounding
    return objective if bound - objective <= least else bound


def _money(case: Case, instance: Instance, quantities: Ints, moved: Ints, volumes: Floats) -> Money:
    catalogue, places = instance.catalogue, instance.places
    arc, method = np.nonzero(volumes)
    cost_of_test = catalogue.consumable_cost[method] + places.cost[arc]
    paid = drawn(instance, (quantities * places.price).sum(axis=0))
    earmarks = dict.fromkeys(sorted(case.limits.earmarks), 0.0)
    earmarks |= zip(instance.bounds.programmes, paid.earmarks.tolist(), strict=True)
    upkeep = (quantities * catalogue.annual_cost).sum()
    return Money(
        capital=paid.capital + float(moved @ instance.moves.cost),
        recurrent=float(upkeep) + fsum(cost_of_test * volumes[arc, method]),
        earmarks=earmarks,
    )
