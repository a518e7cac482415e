"""All sites of a case, packed, with the limits that they share."""

from collections.abc import Callable

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.national.packing import TooLargeError, packed
from planner.engine.allocation.national.shared import shared_of
from planner.engine.allocation.national.sites import Country


def country_of(
    instance: Instance, *, at_each_site: Callable[[], None] = lambda: None
) -> Country | None:
    """The country of ``instance``; ``None`` where sites cannot be priced one by one.

    That is where specimens may travel, where more earmarks overlap than rows can say, and
    where a site is too large. ``at_each_site`` is called now and then, and may raise.
    """
    places = instance.places
    travelling = places.origin != places.at
    if (places.volume[travelling] > 0).any():
        return None
    shared = shared_of(instance)
    if shared is None:
        return None
    try:
        return Country(packed(instance, at_each_site=at_each_site), shared)
    except TooLargeError:
        return None


def quantities_of(instance: Instance, country: Country, quantity: Ints) -> Ints:
    """Flat quantities of items as sites × actions."""
    matrix = np.zeros(instance.places.price.shape, dtype=np.int64)
    matrix[country.site_of_item, country.blocks.action] = quantity
    return matrix


def shares_of(instance: Instance, country: Country, share: Floats) -> Floats:
    """Flat shares of ways as arcs × methods; each site's own arc comes first."""
    places = instance.places
    matrix = np.zeros((len(places.at), len(instance.catalogue.methods)))
    own = np.array([span.start for span in places.arcs_of], dtype=np.int64)
    matrix[own[country.site_of_way], country.blocks.method] = share
    return matrix
