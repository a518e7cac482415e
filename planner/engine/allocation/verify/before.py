"""What the district can do today, put between two figures that need no solver.

Not above: everybody gets each test by the best method that runs somewhere in reach, as if
hours and money had no end. Not below: a way to serve that keeps every limit, found by
scaling volumes down until staff, machines and the recurrent limit suffice. Where no limit
binds the two meet and ``objective_before`` is proved; elsewhere it is only bracketed.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import product

from planner.engine.allocation.verify import hours, money, value
from planner.engine.allocation.verify.facts import Facts, Standing
from planner.engine.case import Method, Volume


def most_possible(facts: Facts, today: Standing) -> float:
    """No use of what stands ``today`` is worth more."""
    return value.objective(facts, _best_ways(facts, today))


def surely_possible(facts: Facts, today: Standing, planned: list[Volume]) -> list[Volume]:
    """Volumes that what stands ``today`` can do within every limit but the floors.

    The better of two starting points, scaled down to the limits: the best way for everybody,
    and what of the ``planned`` volumes (of a plan that keeps all limits) runs today.
    """
    kept = [v for v in planned if today.runs(facts, v.at, facts.methods[v.method])]
    starts = (list(_best_ways(facts, today)), kept)
    within = [_within_limits(facts, today, start) for start in starts]
    return max(within, key=lambda volumes: value.objective(facts, volumes))


def _best_ways(facts: Facts, today: Standing) -> Iterator[Volume]:
    """The whole demand of each site and test, by the most valuable method in reach."""
    running: defaultdict[tuple[str, str], list[Method]] = defaultdict(list)
    for at, method in product(facts.sites, facts.case.methods):
        if today.runs(facts, at, method):
            running[at, method.test].append(method)
    hosts = {code: {code} for code in facts.sites}
    for link in facts.case.links:
        hosts[link.origin].add(link.to)
    for site in facts.case.sites:
        for test, asked in site.demand.items():
            ways = [
                (facts.worth(method), -facts.cost_of_one(site.code, at, method), at, method.code)
                for at in hosts[site.code]
                for method in running[at, test]
                if facts.reachable(site.code, at, method)
            ]
            if ways and asked > 0:
                _, _, at, code = max(ways)  # of equal worth the cheapest
                way = {"from": site.code, "at": at, "method": code, "per_year": asked}
                yield Volume.model_validate(way)


def _within_limits(facts: Facts, today: Standing, volumes: list[Volume]) -> list[Volume]:
    """``volumes``, each site's in one proportion, so that they fit hours and running cost."""
    share = {
        at: _share_that_fits(facts, today, at, dict(done))
        for at, done in hours.done_at(volumes).items()
    }
    fitting = [_scaled(volume, share[volume.at]) for volume in volumes]
    cost, limit = money.running_cost(facts, (), fitting), facts.case.limits.recurrent
    if limit is None or cost <= limit:
        return fitting
    return [_scaled(volume, limit / cost) for volume in fitting]


def _share_that_fits(facts: Facts, today: Standing, at: str, done: dict[str, float]) -> float:
    asked, there = hours.staff_hours(facts, done), facts.sites[at].staff_hours
    share = 1.0 if asked <= there else there / asked
    while True:
        load = {code: share * per_year for code, per_year in done.items()}
        short = hours.machine_shortage(facts, today, at, load)
        # A shortage that is rounding leaves the share as it is, and would come back for ever.
        if short is None or (smaller := share * short.available / short.asked) >= share:
            return share
        share = smaller


def _scaled(volume: Volume, share: float) -> Volume:
    return volume.model_copy(update={"per_year": volume.per_year * share})
