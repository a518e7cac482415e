"""Which limits would have to give, and by how much, where no plan can keep them all.

Only floors can exclude every plan: with no money at all, doing nothing is a plan. What
gives may be a floor itself or the money and trainer days that are too few to reach it;
demand, staff, machines and distances never give.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.backend import Solver
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.shared_rows import CAPITAL, RECURRENT, TRAINER_DAYS, floor_of
from planner.engine.allocation.tight import written
from planner.engine.case import Case, Relaxation
from planner.engine.errors import NoPlanError

_GAP = 0.01
_SECONDS_AT_LEAST = 20.0
_ROUNDING = 1e-5  # of the last decimal that is shown


@dataclass(frozen=True)
class _Limit:
    """A limit that may give, its value, and the ``most`` that it could be exceeded by.

    ``most`` is in the unit of the program's row; ``whole`` of it are 1 in the unit of the
    limit: the largest possible objective of the area for a floor, 1 for the others.
    """

    name: str
    title: str
    stated: float
    most: float
    whole: float = 1.0

    def percent(self, excess: float) -> float:
        """``excess``, a part of ``most``, in percent of the limit's own value."""
        return 100 * excess * self.most / (self.stated * self.whole or 1.0)


@dataclass(frozen=True)
class _Eased:
    """The program in which limits may be exceeded.

    ``excess`` and ``used`` are the columns that say, limit by limit, by how much it is
    exceeded (as a part of its ``most``) and whether it is (0 or 1).
    """

    program: Program
    limits: tuple[_Limit, ...]
    excess: Ints
    used: Ints

    def allowing(self, numbers: list[int]) -> Program:
        """Only the limits with these ``numbers`` may be exceeded."""
        most = self.program.most.copy()
        most[np.delete(self.used, numbers)] = 0.0
        return self.program.within(most=most)

    def aimed(self, columns: Ints, weights: Floats | float) -> Floats:
        """Gains that keep the weighted sum of ``columns`` small."""
        gain = np.zeros(len(self.program.gain))
        gain[columns] = -np.asarray(weights)
        return gain


def reasons(case: Case, instance: Instance, solver: Solver, watch: Watch) -> tuple[Relaxation, ...]:
    """The limits to relax, those that ask for the least change first.

    If one limit alone can give, every such limit is named, each with what it would need if
    the others stay. If not, the smallest set that can give together is named. With all of
    them applied there is a plan, either way.
    """
    eased = _eased(instance)
    seconds = max(_SECONDS_AT_LEAST, watch.left) / (2 + len(eased.limits))
    alone = [
        (limit, excess)
        for number, limit in enumerate(eased.limits)
        if (excess := _alone(eased, number, solver, watch, seconds)) is not None
    ]
    if alone:
        alone.sort(key=lambda found: found[0].percent(found[1]))
        return tuple(_worded(case, limit, excess, alone=True) for limit, excess in alone)
    together = _smallest_set(eased, solver, watch, seconds)
    return tuple(_worded(case, limit, excess, alone=False) for limit, excess in together)


def _alone(
    eased: _Eased, number: int, solver: Solver, watch: Watch, seconds: float
) -> float | None:
    """By how much the limit must be exceeded if no other gives; ``None`` if that is no help."""
    program = eased.allowing([number]).aiming_at(eased.aimed(eased.excess[[number]], 1.0))
    answer = solver.maximise(program, watch, gap=_GAP, seconds=seconds)
    return None if answer.x is None else float(answer.x[eased.excess[number]])


def _smallest_set(
    eased: _Eased, solver: Solver, watch: Watch, seconds: float
) -> list[tuple[_Limit, float]]:
    """As few limits as possible, then as few percent of their values as possible."""
    fewest = eased.program.aiming_at(eased.aimed(eased.used, 1.0))
    answer = solver.maximise(fewest, watch, seconds=seconds)
    if answer.x is None:
        raise NoPlanError(
            "No plan can keep all floors, and which limits to relax was not found in time.",
            remedy="Allow more time, or lower the floors of the areas.",
        )
    few = fewest.gaining_at_least(-round(float(answer.x[eased.used].sum())))
    weights = np.array([limit.percent(1.0) for limit in eased.limits])
    smallest = few.aiming_at(eased.aimed(eased.excess, weights))
    better = solver.maximise(smallest, watch, gap=_GAP, seconds=seconds, start=answer.x)
    x = answer.x if better.x is None else better.x
    return [
        (limit, float(x[excess]))
        for limit, excess, used in zip(eased.limits, eased.excess, eased.used, strict=True)
        if x[used] > 0.5
    ]


def _eased(instance: Instance) -> _Eased:
    endless = replace(instance.bounds, capital=math.inf, recurrent=math.inf, trainer_days=math.inf)
    unlimited = replace(instance, bounds=endless)
    sites = range(len(instance.places.sites))
    draft = Draft(instance, [ground(unlimited, site) for site in sites])
    limits = tuple(_limits(draft))
    excess = draft.builder.add_columns(gain=[0.0] * len(limits), most=1.0)
    used = draft.builder.add_columns(gain=[0.0] * len(limits), most=1.0, whole=True)
    for limit, column, flag in zip(limits, excess, used, strict=True):
        draft.easing[limit.name] = (int(column), limit.most)
        draft.builder.add_row(np.array([column, flag]), [1.0, -1.0], upper=0.0)
    return _Eased(written(draft).program, limits, excess, used)


def _limits(draft: Draft) -> Iterator[_Limit]:
    """The limits that are there, with the most that doing everything would exceed them by."""
    instance = draft.instance
    catalogue, places, bounds = instance.catalogue, instance.places, instance.bounds
    most = np.array([here.most for here in draft.grounds])
    _, arc, method, volume = draft.all_shares()
    tests = float(((catalogue.consumable_cost[method] + places.cost[arc]) * volume).sum())
    amounts = (
        (CAPITAL, "capital", bounds.capital, (most * places.price).sum()),
        (
            RECURRENT,
            "running money",
            bounds.recurrent,
            tests + (most * catalogue.annual_cost).sum(),
        ),
        (TRAINER_DAYS, "trainer days", bounds.trainer_days, (most * catalogue.trainer_days).sum()),
    )
    for name, title, stated, everything in amounts:
        if everything > stated:
            yield _Limit(name, title, stated, float(everything))
    for area, floor, possible in zip(bounds.areas, bounds.floor, bounds.possible, strict=True):
        if floor * possible > 0:
            yield _Limit(
                name=floor_of(area),
                title=f"the floor of area {area}",
                stated=float(floor),
                most=float(floor * possible),
                whole=float(possible),
            )


def _worded(case: Case, limit: _Limit, excess: float, *, alone: bool) -> Relaxation:
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
