"""Actions and volumes of a plan, listed for its result."""

from collections.abc import Iterator

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.instance import Instance
from planner.engine.case import Action, Volume


def actions_of(instance: Instance, quantities: Ints) -> Iterator[Action]:
    """By site, then buy, repair, train, provide, then item."""
    for site, action in zip(*np.nonzero(quantities), strict=True):
        kind, item = instance.catalogue.actions[action]
        quantity = int(quantities[site, action])
        cost = quantity * float(instance.places.price[site, action])
        place = instance.places.sites[site]
        yield Action(site=place, kind=kind, item=item, quantity=quantity, cost=cost)


def moves_of_plan(instance: Instance, moved: Ints) -> Iterator[Action]:
    """By origin, destination and model, after everything else."""
    moves, places = instance.moves, instance.places
    for number in np.flatnonzero(moved):
        _, item = instance.catalogue.actions[moves.model[number]]
        quantity = int(moved[number])
        yield Action(
            site=places.sites[moves.to[number]],
            kind="move",
            item=item,
            quantity=quantity,
            cost=quantity * float(moves.cost[number]),
            moved_from=places.sites[moves.origin[number]],
        )


def volumes_of(instance: Instance, volumes: Floats) -> Iterator[Volume]:
    """By origin, destination, test and method."""
    places, catalogue = instance.places, instance.catalogue
    arc, method = np.nonzero(volumes)
    for place in np.lexsort((method, places.at[arc], places.origin[arc])):
        values = {
            "from": places.sites[places.origin[arc[place]]],
            "at": places.sites[places.at[arc[place]]],
            "method": catalogue.methods[method[place]],
            "per_year": float(volumes[arc[place], method[place]]),
        }
        yield Volume.model_validate(values)
