"""Sites, stock and links as arrays: what differs from site to site."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.engine.allocation.arrays import (
    Bools,
    Floats,
    Ints,
    membership,
    positions,
    table,
)
from planner.engine.allocation.catalogue import Catalogue
from planner.engine.allocation.possible import complete, fixed, price_and_most
from planner.engine.case import Case


@dataclass(frozen=True)
class Places:
    """What differs from site to site.

    Shapes: ``working`` sites × models, units of accepted grade; ``present`` sites × things;
    ``price``, ``least`` and ``most`` (quantity that must and that may be taken) sites ×
    actions; ``staff_hours`` and ``area_of`` sites.

    An *arc* is a way of specimens from an origin to where they are examined, the site itself
    first, sorted by destination: ``origin``, ``at`` and ``cost`` (of one specimen) are arcs;
    ``volume`` (a year) is arcs × tests, 0 where the specimen may not travel that long.
    ``arcs_of`` are the arcs that end at each site.
    """

    sites: tuple[str, ...]
    demand: Floats
    working: Floats
    present: Bools
    price: Floats
    least: Ints
    most: Ints
    staff_hours: Floats
    area_of: Ints
    origin: Ints
    at: Ints
    cost: Floats
    volume: Floats
    arcs_of: tuple[slice, ...]


def places_of(case: Case, catalogue: Catalogue) -> Places:
    """The arrays of a sorted ``case``."""
    sites = tuple(site.code for site in case.sites)
    demand = table(
        ((site.code, test, volume) for site in case.sites for test, volume in site.demand.items()),
        sites,
        catalogue.tests,
    )
    working, broken = _units(case, sites)
    accepted = np.array(
        [model.evidence <= case.minimum_evidence for model in case.device_models], dtype=bool
    )
    price, most = price_and_most(case, broken, accepted=accepted)
    present = [
        working @ catalogue.suits.T > 0,
        membership((site.skills for site in case.sites), (s.code for s in case.skills)),
        membership((s.infrastructure for s in case.sites), (i.code for i in case.infrastructure)),
    ]
    possible = np.where(np.hstack(_absent(present, catalogue)), most, 0)
    least, most = fixed(case, catalogue, possible)
    most = complete(catalogue, np.hstack(present), most)
    origin, at, cost, volume = _arcs(case, demand)
    ends = np.searchsorted(at, np.arange(len(sites) + 1))
    return Places(
        sites=sites,
        demand=demand,
        working=working,
        present=np.hstack(present),
        price=price,
        least=least,
        most=most,
        staff_hours=np.array([site.staff_hours for site in case.sites], dtype=float),
        area_of=positions((site.area for site in case.sites), (a.code for a in case.areas)),
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
    return table(working, sites, models), table(broken, sites, models)


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
