"""Which limits would have to give, and by how much, where no plan can keep them all.

Only floors can exclude every plan: with no money at all, doing nothing is a plan. What
gives may be a floor itself or the money and trainer days that are too few to reach it;
demand, staff, machines and distances never give.
"""

import math

import numpy as np

from planner.engine.allocation.backend import Solver
from planner.engine.allocation.eased import Eased, Limit, eased
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.shared_rows import TRAINER_DAYS
from planner.engine.case import Case, Relaxation
from planner.engine.errors import NoPlanError

_GAP = 0.01
_SECONDS_AT_LEAST = 20.0
_ROUNDING = 1e-5  # of the last decimal that is shown


def reasons(case: Case, instance: Instance, solver: Solver, watch: Watch) -> tuple[Relaxation, ...]:
    """The limits to relax, those that ask for the least change first.

    If one limit alone can give, every such limit is named, each with what it would need if
    the others stay. If not, the smallest set that can give together is named. With all of
    them applied there is a plan, either way.
    """
    program = eased(instance)
    seconds = max(_SECONDS_AT_LEAST, watch.left) / (2 + len(program.limits))
    alone = [
        (limit, excess)
        for number, limit in enumerate(program.limits)
        if (excess := _alone(program, number, solver, watch, seconds)) is not None
    ]
    if alone:
        alone.sort(key=lambda found: found[0].percent(found[1]))
        return tuple(_worded(case, limit, excess, alone=True) for limit, excess in alone)
    together = _smallest_set(program, solver, watch, seconds)
    return tuple(_worded(case, limit, excess, alone=False) for limit, excess in together)


def _alone(given: Eased, number: int, solver: Solver, watch: Watch, seconds: float) -> float | None:
    """By how much the limit must be exceeded if no other gives; ``None`` if that is no help."""
    program = given.allowing([number]).aiming_at(given.aimed(given.excess[[number]], 1.0))
    answer = solver.maximise(program, watch, gap=_GAP, seconds=seconds)
    return None if answer.x is None else float(answer.x[given.excess[number]])


def _smallest_set(
    given: Eased, solver: Solver, watch: Watch, seconds: float
) -> list[tuple[Limit, float]]:
    """As few limits as possible, then as few percent of their values as possible."""
    fewest = given.program.aiming_at(given.aimed(given.used, 1.0))
    answer = solver.maximise(fewest, watch, seconds=seconds)
    if answer.x is None:
        raise NoPlanError(
            "No plan can keep all floors, and which limits to relax was not found in time.",
            remedy="Allow more time, or lower the floors of the areas.",
        )
    few = fewest.gaining_at_least(-round(float(answer.x[given.used].sum())))
    weights = np.array([limit.percent(1.0) for limit in given.limits])
    smallest = few.aiming_at(given.aimed(given.excess, weights))
    better = solver.maximise(smallest, watch, gap=_GAP, seconds=seconds, start=answer.x)
    x = answer.x if better.x is None else better.x
    return [
        (limit, float(x[excess]))
        for limit, excess, used in zip(given.limits, given.excess, given.used, strict=True)
        if x[used] > 0.5
    ]


def _worded(case: Case, limit: Limit, excess: float, *, alone: bool) -> Relaxation:
    """The limit and a value that will do, rounded to the safe side, in words."""
    change = excess * limit.most / limit.whole
    if limit.name.startswith("areas."):
        needed = max(0.0, math.floor((limit.stated - change) * 1e4 + _ROUNDING) / 1e4)
        figures = f"{needed:.2%} instead of {limit.stated:.2%}"
    else:
        needed = math.ceil((limit.stated + change) * 100 - _ROUNDING) / 100
        unit = "" if limit.name == TRAINER_DAYS else f" {case.currency}"
        figures = f"{needed:,.2f}{unit} instead of {limit.stated:,.2f}{unit}"
    others = "every other limit as it is" if alone else "the other changes named here"
    text = f"With {limit.title} at {figures} and {others} there is a plan."
    return Relaxation(limit=limit.name, stated=limit.stated, needed=needed, text=text)
