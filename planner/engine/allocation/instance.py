"""The numbers of a case as arrays, every axis sorted by code (methods by test, then code).

Two axes need a word. A *thing* is what a method may lack at a site: a kind of device (a
set of suiting models; needs with the same set are one kind), a skill, an infrastructure
item, in this order. An *action* is what money can do at a site: buy a model, repair a
model, train a skill, provide an item, in this order.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.engine.case import ActionKind, Case
from planner.engine.matching import suitability

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True)
class Catalogue:
    """What holds at every site.

    Shapes: ``test_of``, ``value`` (worth of one test), ``staff_hours`` and
    ``consumable_cost`` (of one test) are methods; ``needs`` methods × things;
    ``device_hours`` methods × kinds, hours of one test; ``suits`` kinds × models;
    ``supplies`` things × actions; ``annual_cost``, ``trainer_days`` and ``unit_hours``
    (machine hours a year of one unit) actions; ``payable`` actions × earmarks.
    ``actions`` names each action by kind and code of the item.
    """

    tests: tuple[str, ...]
    methods: tuple[str, ...]
    actions: tuple[tuple[ActionKind, str], ...]
    test_of: Ints
    value: Floats
    staff_hours: Floats
    consumable_cost: Floats
    needs: Bools
    device_hours: Floats
    suits: Bools
    supplies: Bools
    annual_cost: Floats
    trainer_days: Floats
    unit_hours: Floats
    payable: Bools
    best_value: Floats

    @cached_property
    def within(self) -> Bools:
        """Kinds × kinds: every model that suits the first suits the second."""
        beyond: Bools = np.any(self.suits[:, None, :] & ~self.suits[None, :, :], axis=2)
        return ~beyond

    @property
    def kinds(self) -> int:
        return len(self.suits)

    @property
    def models(self) -> int:
        return int(self.suits.shape[1])


@dataclass(frozen=True)
class Places:
    """What differs from site to site.

    Shapes: ``working`` sites × models, units of accepted grade; ``present`` sites × things;
    ``price`` and ``most`` (greatest quantity) sites × actions; ``staff_hours`` and
    ``area_of`` sites. An *arc* is a way of specimens from an origin to where they are
    examined, the site itself first, sorted by destination: ``origin``, ``at`` and ``cost``
    (of one specimen) are arcs; ``volume`` (a year) is arcs × tests, 0 where the specimen
    may not travel that long. ``arcs_of`` are the arcs that end at each site.
    """

    sites: tuple[str, ...]
    demand: Floats
    working: Floats
    present: Bools
    price: Floats
    most: Ints
    staff_hours: Floats
    area_of: Ints
    origin: Ints
    at: Ints
    cost: Floats
    volume: Floats
    arcs_of: tuple[slice, ...]


@dataclass(frozen=True)
class Bounds:
    """The limits that sites share; a limit that is absent is infinite.

    ``earmarks`` and ``programmes`` have one entry for each earmark above 0; ``floor`` (share)
    and ``possible`` (largest objective of the area's people) one for each area.
    """

    capital: float
    programmes: tuple[str, ...]
    earmarks: Floats
    recurrent: float
    trainer_days: float
    areas: tuple[str, ...]
    floor: Floats
    possible: Floats


@dataclass(frozen=True)
class Instance:
    """A whole case, ready for arithmetic."""

    catalogue: Catalogue
    places: Places
    bounds: Bounds


def instance_of(case: Case) -> Instance:
    """The arrays of ``case``; the order of its lists makes no difference."""
    case = _sorted(case)
    programmes = tuple(sorted(code for code, money in case.limits.earmarks.items() if money > 0))
    catalogue = _catalogue(case, programmes)
    places = _places(case, catalogue)
    return Instance(catalogue, places, _bounds(case, programmes, catalogue, places))


def _sorted(case: Case) -> Case:
    lists = ("areas", "skills", "infrastructure", "device_models", "tests", "sites")
    ordered = {name: tuple(sorted(getattr(case, name), key=lambda e: e.code)) for name in lists}
    methods = tuple(sorted(case.methods, key=lambda method: (method.test, method.code)))
    return case.model_copy(update={**ordered, "methods": methods})


def _catalogue(case: Case, programmes: tuple[str, ...]) -> Catalogue:
    suits, needs_kind, device_hours = _kinds(case)
    models, skills, items = case.device_models, case.skills, case.infrastructure
    weight = {test.code: test.weight for test in case.tests}
    value = np.array([weight[m.test] * m.sensitivity for m in case.methods], dtype=float)
    test_of = _positions((m.test for m in case.methods), (t.code for t in case.tests))
    needs = [
        needs_kind,
        _membership((m.skills for m in case.methods), (skill.code for skill in skills)),
        _membership((m.infrastructure for m in case.methods), (item.code for item in items)),
    ]
    best_value = np.zeros(len(case.tests))
    np.maximum.at(best_value, test_of, value)
    rest = [0.0] * (len(skills) + len(items))
    return Catalogue(
        tests=tuple(test.code for test in case.tests),
        methods=tuple(method.code for method in case.methods),
        actions=_actions(case),
        test_of=test_of,
        value=value,
        staff_hours=np.array([m.staff_hours for m in case.methods], dtype=float),
        consumable_cost=np.array([m.consumable_cost for m in case.methods], dtype=float),
        needs=np.hstack(needs),
        device_hours=device_hours,
        suits=suits,
        supplies=_supplies(suits, len(skills) + len(items)),
        annual_cost=np.array(
            [model.annual_cost for model in models] * 2
            + [skill.supervision_cost for skill in skills]
            + [0.0] * len(items)
        ),
        trainer_days=np.array(
            [0.0] * (2 * len(models)) + [s.trainer_days for s in skills] + [0.0] * len(items)
        ),
        unit_hours=np.array([model.hours_per_year for model in models] * 2 + rest),
        payable=np.vstack(
            [_membership((model.programmes for model in models), programmes)] * 2
            + [np.zeros((len(rest), len(programmes)), dtype=bool)]
        ),
        best_value=best_value,
    )


def _actions(case: Case) -> tuple[tuple[ActionKind, str], ...]:
    models = [model.code for model in case.device_models]
    return (
        *(("buy", code) for code in models),
        *(("repair", code) for code in models),
        *(("train", skill.code) for skill in case.skills),
        *(("provide", item.code) for item in case.infrastructure),
    )


def _kinds(case: Case) -> tuple[Bools, Bools, Floats]:
    """Kinds × models that suit, methods × kinds needed, methods × kinds hours of one test."""
    found = suitability(case)
    sets = [tuple(row.tolist()) for row in found.suits]
    kinds = sorted(set(sets), reverse=True)
    position = {kind: index for index, kind in enumerate(kinds)}
    needs = np.zeros((len(case.methods), len(kinds)), dtype=bool)
    hours = np.zeros((len(case.methods), len(kinds)))
    for index, (method, its_needs) in enumerate(zip(case.methods, found.method_needs, strict=True)):
        for need, number in zip(method.needs, its_needs, strict=True):
            kind = position[sets[number]]
            needs[index, kind] = True
            hours[index, kind] += need.hours
    return np.array(kinds, dtype=bool).reshape(len(kinds), len(case.device_models)), needs, hours


def _supplies(suits: Bools, others: int) -> Bools:
    kinds, models = suits.shape
    supplies = np.zeros((kinds + others, 2 * models + others), dtype=bool)
    supplies[:kinds, :models] = supplies[:kinds, models : 2 * models] = suits
    supplies[kinds:, 2 * models :] = np.eye(others, dtype=bool)
    return supplies


def _places(case: Case, catalogue: Catalogue) -> Places:
    sites = tuple(site.code for site in case.sites)
    demand = _table(
        ((site.code, test, volume) for site in case.sites for test, volume in site.demand.items()),
        sites,
        catalogue.tests,
    )
    working, broken = _units(case, sites)
    accepted: Bools = np.any(catalogue.suits, axis=0)
    price, most = _price_and_most(case, broken, accepted=accepted)
    present = [
        working @ catalogue.suits.T > 0,
        _membership((site.skills for site in case.sites), (s.code for s in case.skills)),
        _membership((s.infrastructure for s in case.sites), (i.code for i in case.infrastructure)),
    ]
    origin, at, cost, volume = _arcs(case, demand)
    ends = np.searchsorted(at, np.arange(len(sites) + 1))
    return Places(
        sites=sites,
        demand=demand,
        working=working,
        present=np.hstack(present),
        price=price,
        most=np.where(np.hstack(_absent(present, catalogue)), most, 0),
        staff_hours=np.array([site.staff_hours for site in case.sites], dtype=float),
        area_of=_positions((site.area for site in case.sites), (a.code for a in case.areas)),
        origin=origin,
        at=at,
        cost=cost,
        volume=volume,
        arcs_of=tuple(slice(*pair) for pair in pairwise(ends.tolist())),
    )


def _absent(present: list[Bools], catalogue: Catalogue) -> list[Bools]:
    """Sites × actions that could change something: devices always, others where absent."""
    devices = np.ones((len(present[0]), 2 * catalogue.models), dtype=bool)
    return [devices, ~present[1], ~present[2]]


def _units(case: Case, sites: tuple[str, ...]) -> tuple[Floats, Floats]:
    models = tuple(model.code for model in case.device_models)
    working = ((entry.site, entry.model, entry.working) for entry in case.stock)
    broken = ((entry.site, entry.model, entry.broken) for entry in case.stock)
    return _table(working, sites, models), _table(broken, sites, models)


def _price_and_most(case: Case, broken: Floats, *, accepted: Bools) -> tuple[Floats, Ints]:
    """Sites × actions: price of one, and the greatest quantity that the case allows."""
    shape = len(case.sites), 1
    models = case.device_models
    provide = np.array(
        [[item.cost.get(str(site.level), np.inf) for item in case.infrastructure]
         for site in case.sites]
    ).reshape(len(case.sites), len(case.infrastructure))  # fmt: skip
    price = [
        np.tile([model.price for model in models], shape),
        np.tile([model.repair_cost for model in models], shape),
        np.tile([skill.training_cost for skill in case.skills], shape),
        np.where(np.isfinite(provide), provide, 0),
    ]
    most = [
        np.tile(np.where(accepted, case.limits.max_units, 0), shape),
        np.where(accepted, broken, 0),
        np.ones((len(case.sites), len(case.skills))),
        np.isfinite(provide),
    ]
    return np.hstack(price), np.hstack(most).astype(np.int64)


def _arcs(case: Case, demand: Floats) -> tuple[Ints, Ints, Floats, Floats]:
    position = {site.code: index for index, site in enumerate(case.sites)}
    longest = np.array(
        [-1.0 if t.max_transport_hours is None else t.max_transport_hours for t in case.tests]
    )
    own = [(index, False, index, 0.0, 0.0) for index in range(len(case.sites))]
    linked = [
        (position[link.to], True, position[link.origin], link.cost, link.hours)
        for link in case.links
        if link.to != link.origin
    ]
    arcs = sorted(own + linked)
    at, travels, origin, cost, hours = (np.array(column) for column in zip(*arcs, strict=True))
    allowed = ~travels[:, None] | (hours[:, None] <= longest)
    return origin, at, cost, np.where(allowed, demand[origin], 0.0)


def _bounds(
    case: Case, programmes: tuple[str, ...], catalogue: Catalogue, places: Places
) -> Bounds:
    limits = case.limits
    possible = np.zeros(len(case.areas))
    np.add.at(possible, places.area_of, places.demand @ catalogue.best_value)
    return Bounds(
        capital=limits.capital,
        programmes=programmes,
        earmarks=np.array([limits.earmarks[code] for code in programmes]),
        recurrent=np.inf if limits.recurrent is None else limits.recurrent,
        trainer_days=np.inf if limits.trainer_days is None else limits.trainer_days,
        areas=tuple(area.code for area in case.areas),
        floor=np.array([area.floor for area in case.areas]),
        possible=possible,
    )


def _positions(values: Iterable[str], codes: Iterable[str]) -> Ints:
    position = {code: index for index, code in enumerate(codes)}
    return np.array([position[value] for value in values], dtype=np.int64)


def _membership(rows: Iterable[Iterable[str]], codes: Iterable[str]) -> Bools:
    columns = tuple(codes)
    members = [set(row) for row in rows]
    return np.array([[code in row for code in columns] for row in members], dtype=bool).reshape(
        len(members), len(columns)
    )


def _table(
    entries: Iterable[tuple[str, str, float]], rows: tuple[str, ...], columns: tuple[str, ...]
) -> Floats:
    row_of = {code: index for index, code in enumerate(rows)}
    column_of = {code: index for index, code in enumerate(columns)}
    table = np.zeros((len(rows), len(columns)))
    for row, column, amount in entries:
        table[row_of[row], column_of[column]] = amount
    return table
