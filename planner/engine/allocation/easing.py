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

_NAMES = {CAPITAL: "capital", RECURRENT: "a yearly running cost", TRAINER_DAYS: "trainer days"}
_GAP = 0.01
_SECONDS_AT_LEAST = 20.0


@dataclass(frozen=True)
class _Limit:
    """A limit that may give: its value, the most that it could be exceeded by, in its unit.

    ``whole`` turns the unit of the program's row into that of the limit: the largest
    possible objective of an area for a floor, 1 for the others.
    """

    name: str
    stated: float
    most: float
    whole: float = 1.0

    @property
    def is_floor(self) -> bool:
        return self.name.startswith("areas.")

    @property
    def percent(self) -> float:
        """What 1 % of the limit is, in the unit of the program's row."""
        return (self.stated * self.whole or 1.0) / 100


@dataclass(frozen=True)
class _Eased:
    """The program in which limits may be exceeded.

    ``excess`` and ``used`` are the columns that say, limit by limit, by how much it is
    exceeded and whether it is (0 or 1).
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
        alone.sort(key=lambda found: found[1] / found[0].percent)
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
    weights = np.array([1 / limit.percent for limit in eased.limits])
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
    excess = draft.builder.add_columns(gain=0.0, most=[limit.most for limit in limits])
    used = draft.builder.add_columns(gain=[0.0] * len(limits), most=1.0, whole=True)
    for limit, column, flag in zip(limits, excess, used, strict=True):
        draft.easing[limit.name] = int(column)
        draft.builder.add_row(np.array([column, flag]), [1.0, -limit.most], upper=0.0)
    return _Eased(written(draft).program, limits, excess, used)


def _limits(draft: Draft) -> Iterator[_Limit]:
    """The limits that are there, with the most that doing everything would exceed them by."""
    instance = draft.instance
    catalogue, places, bounds = instance.catalogue, instance.places, instance.bounds
    most = np.array([here.most for here in draft.grounds])
    _, arc, method, volume = draft.all_shares()
    tests = float(((catalogue.consumable_cost[method] + places.cost[arc]) * volume).sum())
    amounts = (
        (CAPITAL, bounds.capital, float((most * places.price).sum())),
        (RECURRENT, bounds.recurrent, tests + float((most * catalogue.annual_cost).sum())),
        (TRAINER_DAYS, bounds.trainer_days, float((most * catalogue.trainer_days).sum())),
    )
    for name, stated, everything in amounts:
        if everything > stated:
            yield _Limit(name, stated, everything)
    for area, floor, possible in zip(bounds.areas, bounds.floor, bounds.possible, strict=True):
        if floor * possible > 0:
            yield _Limit(floor_of(area), float(floor), float(floor * possible), float(possible))


def _worded(case: Case, limit: _Limit, excess: float, *, alone: bool) -> Relaxation:
    share = excess / limit.whole
    if limit.is_floor:
        needed = max(0.0, math.floor((limit.stated - share) * 1e4) / 1e4)
        figures = f"{needed:.2%} instead of {limit.stated:.2%}"
    else:
        needed = math.ceil((limit.stated + share) * 100) / 100
        unit = "days" if limit.name == TRAINER_DAYS else case.currency
        figures = f"{needed:,.2f} {unit} instead of {limit.stated:,.2f}"
    which = "and every other limit as it is" if alone else "and the other changes listed here"
    text = f"With {_NAMES.get(limit.name, limit.name)} of {figures}, {which}, there is a plan."
    return Relaxation(limit=limit.name, stated=limit.stated, needed=needed, text=text)
