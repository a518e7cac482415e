"""A part of a case: some sites and what travels among them."""

from dataclasses import fields, replace
from itertools import pairwise

import numpy as np

from planner.engine.allocation.arrays import Bools, Ints
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.places import Places

_OF_ARCS = {"origin", "at", "cost", "volume"}


def part_of(instance: Instance, sites: Ints, arcs: Ints) -> Instance:
    """The same case with only ``sites`` and, among them, ``arcs``, both in rising order."""
    places = instance.places
    number = np.full(len(places.sites), -1)
    number[sites] = np.arange(len(sites))
    kept = {
        field.name: getattr(places, field.name)[arcs if field.name in _OF_ARCS else sites]
        for field in fields(Places)
        if isinstance(getattr(places, field.name), np.ndarray)
    }
    kept["origin"], kept["at"] = number[kept["origin"]], number[kept["at"]]
    ends = np.searchsorted(kept["at"], np.arange(len(sites) + 1))
    part = replace(
        places,
        sites=tuple(places.sites[site] for site in sites),
        arcs_of=tuple(slice(*pair) for pair in pairwise(ends.tolist())),
        **kept,
    )
    return replace(instance, places=part)


def own_arcs(instance: Instance) -> Ints:
    """The arc of each site to itself."""
    return np.array([span.start for span in instance.places.arcs_of], dtype=np.int64)


def at_home(instance: Instance, asked: Bools) -> Instance:
    """The same case with no arcs but the sites' own, and demand only at the sites ``asked``."""
    everywhere = np.arange(len(instance.places.sites))
    alone = part_of(instance, everywhere, own_arcs(instance))
    demand = np.where(asked[:, None], alone.places.demand, 0.0)
    return replace(alone, places=replace(alone.places, demand=demand, volume=demand))
