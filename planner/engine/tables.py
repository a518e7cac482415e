"""A planning case as arrays: rows and columns stand in the order of the lists of the case.

Letters for shapes: S sites, D device models, K skills, I infrastructure items, T tests,
M methods, L links.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.engine.case import Case, Infrastructure, Link, Method, Site
from planner.engine.matching.verdicts import Bools

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]


@dataclass(frozen=True)
class LinkTable:
    """Links sorted by origin, then by preference: cheapest, fastest, code of the destination.

    ``origin`` and ``to`` are positions of sites; ``hours`` worst case; ``cost`` money for
    one specimen. All of shape (L,).
    """

    origin: Ints
    to: Ints
    hours: Floats
    cost: Floats


@dataclass(frozen=True)
class CaseTables:
    """The facts of a case that concern single sites, tests and methods.

    ``working``, ``broken`` (S, D): at least one such unit is in stock. ``skills`` (S, K),
    ``infrastructure`` (S, I): the site has it. ``provide_cost`` (S, I): money, infinite
    where the level of the site cannot be given it. ``demand`` (S, T): tests a year.
    ``max_transport_hours`` (T,): minus infinity where the specimen may not travel.
    ``method_test`` (M,): position of the test. ``method_skills`` (M, K),
    ``method_infrastructure`` (M, I): the method asks for it. ``best_first`` (M,):
    positions of methods by sensitivity, then consumable cost, then code.
    """

    working: Bools
    broken: Bools
    skills: Bools
    infrastructure: Bools
    provide_cost: Floats
    demand: Floats
    max_transport_hours: Floats
    method_test: Ints
    method_skills: Bools
    method_infrastructure: Bools
    best_first: Ints
    links: LinkTable


def case_tables(case: Case) -> CaseTables:
    """The arrays of ``case``."""
    skill, item = positions(case.skills), positions(case.infrastructure)
    test, methods, sites = positions(case.tests), case.methods, case.sites
    working, broken = _stock(case)
    return CaseTables(
        working=working,
        broken=broken,
        skills=_members([site.skills for site in sites], skill),
        infrastructure=_members([site.infrastructure for site in sites], item),
        provide_cost=_provide_cost(sites, case.infrastructure),
        demand=_demand(sites, test),
        max_transport_hours=np.array(
            [
                -np.inf if each.max_transport_hours is None else each.max_transport_hours
                for each in case.tests
            ],
            dtype=float,
        ),
        method_test=_whole(test[method.test] for method in methods),
        method_skills=_members([method.skills for method in methods], skill),
        method_infrastructure=_members([method.infrastructure for method in methods], item),
        best_first=_best_first(methods),
        links=_links(case.links, sites),
    )


class Coded(Protocol):
    @property
    def code(self) -> str: ...


def positions(entries: Iterable[Coded]) -> dict[str, int]:
    """Code to position in the list."""
    return {entry.code: position for position, entry in enumerate(entries)}


def distinct_rows(columns: Sequence[Ints], rows: int) -> tuple[Ints, Ints]:
    """Group ``rows`` rows that agree in all ``columns`` (each (rows,), whole, not negative).

    Returns the position of one row of each group, and for each row its group.
    """
    key = np.zeros(rows, dtype=np.int64)
    size = 1
    for column in columns:
        span = int(column.max(initial=0)) + 1
        if size * span > np.iinfo(np.int64).max:
            key = np.unique(key, return_inverse=True)[1]
            size = rows
        key = key * span + column
        size *= span
    _, first, group = np.unique(key, return_index=True, return_inverse=True)
    return first, group


def _whole(values: Iterable[int]) -> Ints:
    return np.fromiter(values, dtype=np.int64)


def _members(lists: Sequence[Collection[str]], position: Mapping[str, int]) -> Bools:
    held = np.zeros((len(lists), len(position)), dtype=bool)
    rows = np.repeat(np.arange(len(lists)), [len(codes) for codes in lists])
    held[rows, _whole(map(position.__getitem__, chain.from_iterable(lists)))] = True
    return held


def _stock(case: Case) -> tuple[Bools, Bools]:
    site, model = positions(case.sites), positions(case.device_models)
    rows = _whole(site[entry.site] for entry in case.stock)
    columns = _whole(model[entry.model] for entry in case.stock)
    working = np.zeros((len(site), len(model)), dtype=bool)
    broken = working.copy()
    working[rows, columns] = _whole(entry.working for entry in case.stock) > 0
    broken[rows, columns] = _whole(entry.broken for entry in case.stock) > 0
    return working, broken


def _demand(sites: Sequence[Site], test: Mapping[str, int]) -> Floats:
    demand = np.zeros((len(sites), len(test)))
    rows = np.repeat(np.arange(len(sites)), [len(site.demand) for site in sites])
    columns = _whole(map(test.__getitem__, chain.from_iterable(site.demand for site in sites)))
    demand[rows, columns] = np.fromiter(
        chain.from_iterable(site.demand.values() for site in sites), dtype=float
    )
    return demand


def _provide_cost(sites: Sequence[Site], items: Sequence[Infrastructure]) -> Floats:
    levels, of_site = np.unique(_whole(site.level for site in sites), return_inverse=True)
    costs = [[item.cost.get(str(level), np.inf) for item in items] for level in levels]
    return np.array(costs, dtype=float).reshape(len(levels), len(items))[of_site]


def _best_first(methods: Sequence[Method]) -> Ints:
    def preference(position: int) -> tuple[float, float, str]:
        method = methods[position]
        return -method.sensitivity, method.consumable_cost, method.code

    return _whole(sorted(range(len(methods)), key=preference))


def _links(links: Sequence[Link], sites: Sequence[Site]) -> LinkTable:
    site = positions(sites)
    by_code = np.empty(len(sites), dtype=np.int64)
    by_code[sorted(range(len(sites)), key=lambda position: sites[position].code)] = np.arange(
        len(sites)
    )
    origin, to = (
        _whole(site[link.origin] for link in links),
        _whole(site[link.to] for link in links),
    )
    hours = np.fromiter((link.hours for link in links), dtype=float)
    cost = np.fromiter((link.cost for link in links), dtype=float)
    order = np.lexsort((by_code[to], hours, cost, origin))
    return LinkTable(origin[order], to[order], hours[order], cost[order])
