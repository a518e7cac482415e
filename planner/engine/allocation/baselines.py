"""Three ways of spending the same money without a program, to hold a plan against.

Each takes packages one after the other: for a test at a site, the cheapest actions by which a
method of it can run there, one unit of each device. Of several the one with most worth for its
money comes first. They differ in whose packages are looked at and what each site may spend.
What they chose is then used as well as possible, by the same program that plans use, which
may leave out what cannot be run; so a way is never told as worse than it is.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from planner.engine.allocation.backend import SOLVERS
from planner.engine.allocation.backend.answer import SolverError
from planner.engine.allocation.finish import finished
from planner.engine.allocation.gathering import Gathering
from planner.engine.allocation.instance import Instance, instance_of
from planner.engine.allocation.outcome import planned
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import tight_model
from planner.engine.asking import MOST
from planner.engine.case import Case, Result

Way = Literal["equal_shares", "largest_first", "greedy"]
_SECONDS = 60.0


@dataclass(frozen=True)
class Baseline:
    """What a simple way comes to: ``result`` answers ``plain_question`` of the case."""

    way: Way
    result: Result


def plain_question(case: Case) -> Case:
    """``case`` with its limits and fixed actions, asked for most tests and nothing before.

    Floors, minimum sets, moves and other aims are left aside: no simple way seeks them.
    """
    areas = tuple(area.model_copy(update={"floor": 0.0}) for area in case.areas)
    asked = {"areas": areas, "minimum_sets": (), "moves": (), "aim": MOST}
    return case.model_copy(update=asked)


def baselines(
    case: Case,
    *,
    before: float,
    seconds: float = _SECONDS,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[Baseline, ...]:
    """What equal shares for every site, the largest sites first, and the greatest benefit for
    its cost first come to under the limits of ``case``.

    ``before`` is the worth of what is done today, as ``today`` finds it. Every result is one
    that ``verify`` accepts for ``plain_question(case)``. A way for which ``seconds`` or the
    limits leave no plan is left out.
    """
    watch = Watch(seconds, None, cancelled)
    plain = plain_question(case)
    instance = instance_of(plain)
    found = (
        (way, _used_well(plain, instance, gathering, before, watch))
        for way, gathering in _gathered(plain, instance, watch)
    )
    return tuple(Baseline(way, result) for way, result in found if result is not None)


def _gathered(case: Case, instance: Instance, watch: Watch) -> Iterator[tuple[Way, Gathering]]:
    sites = list(range(len(instance.places.sites)))
    money = instance.bounds.capital + float(instance.bounds.earmarks.sum())
    equal = Gathering(instance, watch)
    for site in sites:
        equal.take([site], at_most=money / len(sites))
    yield "equal_shares", equal
    people = {site.code: site.population for site in case.sites}
    largest = Gathering(instance, watch)
    for site in sorted(sites, key=lambda each: -people[instance.places.sites[each]]):
        largest.take([site])
    yield "largest_first", largest
    greedy = Gathering(instance, watch)
    greedy.take(sites)
    yield "greedy", greedy


def _used_well(
    case: Case, instance: Instance, found: Gathering, before: float, watch: Watch
) -> Result | None:
    """The most worth that a part of the actions gathered brings; ``None`` without one."""
    bought = replace(instance, places=replace(instance.places, most=found.quantities))
    solver = SOLVERS["highs"]
    if watch.left == 0.0:
        return None
    model = tight_model(bought, at_each_site=watch.tick)
    try:
        answer = solver.maximise(model.program, watch)
    except SolverError:
        return None
    if answer.x is None:
        return None
    x = finished(model, answer.x, solver, watch, proven=False)
    quantities = model.columns.quantities(x)
    return planned(
        case,
        bought,
        quantities,
        np.zeros(len(instance.moves.most), dtype=np.int64),
        model.columns.shares(x),
        bound=answer.bound,
        asked_gap=1.0,
        before=before,
        solver=solver.NAME,
        seconds=watch.seconds,
    )
