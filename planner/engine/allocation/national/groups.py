"""Groups of sites tied by links: what may travel between them makes them one unit."""

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from planner.engine.allocation.arrays import Bools, Ints
from planner.engine.allocation.at_home import served_at_home
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import Instance

MOST_TOGETHER = 30
"""Sites; a larger group takes HiGHS too long to be asked again and again."""


def groups_of(instance: Instance) -> list[tuple[Ints, Ints]] | None:
    """Sites and arcs of each group of two or more; ``None`` if one is too large.

    Sites hang together where an arc between them could be of use.
    """
    places = instance.places
    useful = useful_arcs(instance)
    links = np.flatnonzero(useful & (places.origin != places.at))
    sites = len(places.sites)
    ones = np.ones(len(links))
    graph = coo_array((ones, (places.origin[links], places.at[links])), shape=(sites, sites))
    _, group = connected_components(graph, directed=False)
    size = np.bincount(group)
    if size.max() > MOST_TOGETHER:
        return None
    of_arc = np.where(useful, group[places.at], -1)
    return [
        (np.flatnonzero(group == each), np.flatnonzero(of_arc == each))
        for each in np.flatnonzero(size > 1)
    ]


def useful_arcs(instance: Instance) -> Bools:
    """Arcs over which a specimen could go and not be better off at home; the own ones too."""
    places, catalogue = instance.places, instance.catalogue
    useful: Bools = np.equal(places.origin, places.at)
    travelling = (places.volume > 0).any(axis=1) & ~useful
    ends = np.unique(np.concatenate([places.at[travelling], places.origin[travelling]]))
    grounds = {int(site): ground(instance, int(site)) for site in ends}
    homes = {site: served_at_home(instance, here) for site, here in grounds.items()}
    for arc in np.flatnonzero(travelling):
        ways = grounds[int(places.at[arc])].ways
        ways = ways[places.volume[arc, catalogue.test_of[ways]] > 0]
        cost = catalogue.consumable_cost[ways] + places.cost[arc]
        useful[arc] = not homes[int(places.origin[arc])].beats(ways, cost).all()
    return useful
