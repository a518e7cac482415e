"""What a plan leaves undone, site by site, and why: what it would take, or that nothing helps."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.engine.case import Case, Result, Site, Stock
from planner.engine.coverage import Coverage, assess
from planner.engine.coverage.assessment import State

Why = Literal["used_up", "elsewhere", "nothing_helps"]
_LEAST = 0.5  # tests a year; less is rounding


@dataclass(frozen=True, slots=True)
class Remaining:
    """Tests a year that the people of ``site`` still go without, by what stands in the way.

    ``used_up``: a site in their reach can run the test after the plan, but hours of staff or
    machines, or the money to run it, are used up. ``elsewhere``: no site in reach can; actions
    exist that would change it, and the money went where it brings more: the cheapest cost
    ``next_cost``, for ``next_test``. ``nothing_helps``: nothing that money can buy would.
    """

    site: str
    tests_per_year: float
    by_why: Mapping[Why, float]
    next_test: str
    next_cost: float | None


def remaining(case: Case, result: Result) -> tuple[Remaining, ...]:
    """The sites with something left undone, those with most first."""
    coverage = assess(after(case, result))
    tests = {method.code: method.test for method in case.methods}
    left = {(s.code, test): asked for s in case.sites for test, asked in s.demand.items()}
    for volume in result.volumes:
        left[volume.origin, tests[volume.method]] -= volume.per_year
    found = (_remaining(coverage, number, site, left) for number, site in enumerate(case.sites))
    there = [each for each in found if each is not None]
    return tuple(sorted(there, key=lambda each: (-each.tests_per_year, each.site)))


def after(case: Case, result: Result) -> Case:
    """``case`` as its sites are once the actions of ``result`` are taken; repairs succeed."""
    working: defaultdict[tuple[str, str], int] = defaultdict(int)
    broken: defaultdict[tuple[str, str], int] = defaultdict(int)
    given: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for entry in case.stock:
        working[entry.site, entry.model] += entry.working
        broken[entry.site, entry.model] += entry.broken
    for action in result.actions:
        if action.kind in ("train", "provide"):
            given[action.site, action.kind].add(action.item)
            continue
        working[action.site, action.item] += action.quantity
        if action.kind == "repair":
            broken[action.site, action.item] -= action.quantity
        if action.moved_from is not None:
            working[action.moved_from, action.item] -= action.quantity
    sites = tuple(
        site.model_copy(
            update={
                "skills": (*site.skills, *sorted(given[site.code, "train"])),
                "infrastructure": (*site.infrastructure, *sorted(given[site.code, "provide"])),
            }
        )
        for site in case.sites
    )
    stock = tuple(
        Stock(site=site, model=model, working=working[site, model], broken=broken[site, model])
        for site, model in sorted({*working, *broken})
    )
    return case.model_copy(update={"sites": sites, "stock": stock})


def _remaining(
    coverage: Coverage, number: int, site: Site, left: Mapping[tuple[str, str], float]
) -> Remaining | None:
    by_why: defaultdict[Why, float] = defaultdict(float)
    cheapest: tuple[float, str] | None = None
    position = coverage.situation.test_position
    in_reach = coverage.is_state(State.RUNS, State.REFERRED)
    for test in site.demand:
        undone, at = left[site.code, test], (number, position[test])
        if undone < _LEAST:
            continue
        cost = float(coverage.fix_cost[at])
        if in_reach[at]:
            by_why["used_up"] += undone
        elif np.isfinite(cost):
            by_why["elsewhere"] += undone
            cheapest = min(cheapest or (cost, test), (cost, test))
        else:
            by_why["nothing_helps"] += undone
    if not by_why:
        return None
    return Remaining(
        site.code,
        sum(by_why.values()),
        dict(by_why),
        next_test=cheapest[1] if cheapest else "",
        next_cost=cheapest[0] if cheapest else None,
    )
