"""The ways in which today's means can serve today's demand, and the limits that may bind.

A limit is left out where even the whole demand, each test done in the way that uses most of
it, would fit. Machine hours of a site are limited for each set of models: needs that only
these can serve get no more than their hours (Hall's condition, see ``transport``).
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from planner.engine.allocation.verify.facts import Facts, Standing
from planner.engine.case import Method, Volume

Limit = tuple[str, str, frozenset[str]]
"""Kind, site, and for machine hours the models; ``RECURRENT`` belongs to no site."""

RECURRENT: Limit = ("recurrent", "", frozenset())
_NONE: frozenset[str] = frozenset()
_MOST_SETS = 64
"""Of models per site; with fewer limits the ceiling is only higher."""


@dataclass(frozen=True)
class Way:
    """One test for the people of ``origin`` done ``at`` by ``method``: worth, and what it uses."""

    origin: str
    at: str
    method: str
    worth: float
    uses: Mapping[Limit, float]

    def volume(self, per_year: float) -> Volume:
        parts = {"from": self.origin, "at": self.at, "method": self.method}
        return Volume.model_validate({**parts, "per_year": per_year})


@dataclass(frozen=True)
class Demand:
    """Tests a year that one site asks for, and the ways to do them, the most valuable first."""

    asked: float
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Service:
    """All demands that something can serve; ``capacity`` of the limits that may bind."""

    demands: tuple[Demand, ...]
    capacity: Mapping[Limit, float]

    def ceiling(self, prices: Mapping[Limit, float]) -> float:
        """No use of what stands there is worth more, whatever the ``prices`` (not negative).

        What is used within a limit is worth at most its price times the limit; what a test
        is worth beyond what it uses is at most that of its best way (weak duality).
        """
        limits = sum(price * self.capacity[limit] for limit, price in prices.items())
        beyond = 0.0
        for demand in self.demands:
            margins = (
                way.worth - sum(prices.get(limit, 0.0) * used for limit, used in way.uses.items())
                for way in demand.ways
            )
            beyond += demand.asked * max(0.0, *margins)
        return limits + beyond


def service(facts: Facts, standing: Standing) -> Service:
    """What can be done with what is ``standing``."""
    stations = {code: _Station.of(facts, standing, code) for code in facts.sites}
    links: defaultdict[str, list[str]] = defaultdict(list)
    for link in facts.case.links:
        links[link.origin].append(link.to)
    demands = [
        Demand(asked, tuple(sorted(ways, key=_most_valuable_first)))
        for site in facts.case.sites
        for test, asked in site.demand.items()
        if asked > 0
        and (ways := list(_ways(facts, stations, (site.code, *links[site.code]), test)))
    ]
    capacity = {limit: amount for s in stations.values() for limit, amount in s.capacity.items()}
    if facts.case.limits.recurrent is not None:
        capacity[RECURRENT] = facts.case.limits.recurrent
    return _without_idle_limits(demands, capacity)


def _most_valuable_first(way: Way) -> tuple[float, float]:
    return -way.worth, way.uses[RECURRENT]


def _ways(
    facts: Facts, stations: Mapping[str, "_Station"], hosts: Iterable[str], test: str
) -> Iterator[Way]:
    """The ways for the people of the first of ``hosts`` to get ``test`` done at one of them."""
    origin, *_ = hosts = tuple(hosts)
    for at in hosts:
        for method, uses in stations[at].runs[test]:
            if facts.reachable(origin, at, method):
                cost = {RECURRENT: facts.cost_of_one(origin, at, method)}
                yield Way(origin, at, method.code, facts.worth(method), {**uses, **cost})


def _without_idle_limits(demands: list[Demand], capacity: Mapping[Limit, float]) -> Service:
    most: defaultdict[Limit, float] = defaultdict(float)
    for demand in demands:
        for limit in {limit for way in demand.ways for limit in way.uses}:
            most[limit] += demand.asked * max(way.uses.get(limit, 0.0) for way in demand.ways)
    kept = {limit: amount for limit, amount in capacity.items() if most[limit] > amount}

    def stripped(way: Way) -> Way:
        return replace(way, uses={limit: u for limit, u in way.uses.items() if limit in kept and u})

    return Service(
        tuple(replace(d, ways=tuple(map(stripped, d.ways))) for d in demands),
        kept,
    )


@dataclass(frozen=True)
class _Station:
    """What runs at one site, by test, with the hours that one test takes; hours there are."""

    runs: Mapping[str, list[tuple[Method, dict[Limit, float]]]]
    capacity: Mapping[Limit, float]

    @classmethod
    def of(cls, facts: Facts, standing: Standing, at: str) -> "_Station":
        methods = [m for m in facts.case.methods if standing.runs(facts, at, m)]
        units = standing.units[at]
        loads = {method.code: _machine_hours(facts, units, method) for method in methods}
        sets = _unions({models for load in loads.values() for models in load})
        runs: defaultdict[str, list[tuple[Method, dict[Limit, float]]]] = defaultdict(list)
        for method in methods:
            uses = {
                ("machines", at, outer): sum(
                    hours for inner, hours in loads[method.code].items() if inner <= outer
                )
                for outer in sets
            }
            runs[method.test].append((method, {("staff", at, _NONE): method.staff_hours, **uses}))
        capacity = {("staff", at, _NONE): facts.sites[at].staff_hours}
        for outer in sets:
            there = (
                units.get(code, 0) * facts.models[code].hours_per_year * facts.models[code].uptime
                for code in outer
            )
            capacity["machines", at, outer] = sum(there)
        return cls(runs, capacity)


def _machine_hours(
    facts: Facts, units: Mapping[str, float], method: Method
) -> dict[frozenset[str], float]:
    """Hours of one test, by the models there that may give them."""
    hours: defaultdict[frozenset[str], float] = defaultdict(float)
    for number, need in enumerate(method.needs):
        if need.hours:
            there = facts.suiting[method.code, number]
            hours[frozenset(model for model in there if units.get(model))] += need.hours
    return hours


def _unions(sets: Iterable[frozenset[str]]) -> set[frozenset[str]]:
    """``sets`` and the unions of those that overlap, as far as there are not too many."""
    found = set(sets)
    waiting = list(found)
    while waiting and len(found) < _MOST_SETS:
        one = waiting.pop()
        fresh = {one | other for other in found if one & other} - found
        found |= fresh
        waiting += fresh
    return found
