"""All sites of a case, packed, with the limits that they share."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.national.exact import part_program
from planner.engine.allocation.national.groups import groups_of
from planner.engine.allocation.national.packing import TooLargeError, packed, with_empty
from planner.engine.allocation.national.part import at_home, own_arcs
from planner.engine.allocation.national.shared import shared_of
from planner.engine.allocation.national.sites import Country

Points = Mapping[int, Floats]
"""The points of groups, by their number among the sites."""


def country_of(
    instance: Instance, *, at_each_site: Callable[[], None] = lambda: None
) -> Country | None:
    """The country of ``instance``; ``None`` where sites cannot be priced one by one.

    That is where links tie too many sites together, where more earmarks overlap than rows
    can say, and where a site is too large. ``at_each_site`` is called now and then, and may raise.
    """
    shared = shared_of(instance)
    tied = groups_of(instance)
    if shared is None or tied is None or not _each_in_one_area(instance, tied):
        return None
    alone = np.ones(len(instance.places.sites), dtype=bool)
    for sites, _ in tied:
        alone[sites] = False
    try:
        blocks = packed(at_home(instance, alone), at_each_site=at_each_site)
    except TooLargeError:
        return None
    groups = []
    for sites, arcs in tied:
        at_each_site()
        groups.append(part_program(instance, sites, arcs))
    areas = [int(shared.area_of[sites[0]]) for sites, _ in tied]
    everywhere = np.append(shared.area_of, areas).astype(np.int64)
    return Country(
        with_empty(blocks, len(groups)), replace(shared, area_of=everywhere), tuple(groups)
    )


def _each_in_one_area(instance: Instance, tied: list[tuple[Ints, Ints]]) -> bool:
    """Where areas have floors, a group must say whose floor it helps to reach."""
    area_of = instance.places.area_of
    floors = instance.bounds.floor * instance.bounds.possible > 0
    return all(
        len(np.unique(area_of[sites])) == 1 or not floors[area_of[sites]].any() for sites, _ in tied
    )


def quantities_of(instance: Instance, country: Country, quantity: Ints, points: Points) -> Ints:
    """Flat quantities of items, and the points of groups, as sites × actions."""
    matrix = np.zeros(instance.places.price.shape, dtype=np.int64)
    matrix[country.site_of_item, country.blocks.action] = quantity
    for number, x in points.items():
        group = country.group(number)
        matrix[group.site, group.action] = group.quantities(x)
    return matrix


def shares_of(instance: Instance, country: Country, share: Floats, points: Points) -> Floats:
    """Flat shares of ways, and the points of groups, as arcs × methods."""
    matrix = np.zeros((len(instance.places.at), len(instance.catalogue.methods)))
    matrix[own_arcs(instance)[country.site_of_way], country.blocks.method] = share
    for number, x in points.items():
        group = country.group(number)
        matrix[group.arc, group.method] = x[group.share_column]
    return matrix
