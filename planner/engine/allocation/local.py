"""One site as the groundwork sees it: what it is asked, what it has, what it could get."""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.catalogue import Catalogue
from planner.engine.allocation.instance import Instance

SLACK = 1e-9  # relative; figures closer than this are taken as equal


@dataclass(frozen=True)
class Local:
    """The figures of one site.

    ``volume`` (tests a year, by test) is everything that may come to the site, from its own
    people and by link. ``absent`` are things and ``working`` units by model, as they are once
    all units that may leave have left; ``leaving`` and ``arriving`` are units that may move.
    ``bundled`` has the things that an action asks for there and that are absent. ``standard`` are
    models of a class of which only so many are bought in all. ``price``,
    ``least`` (quantity that must be taken) and ``allowed`` (that limits and funds allow)
    actions.
    """

    catalogue: Catalogue
    site: int
    volume: Floats
    absent: Bools
    working: Floats
    leaving: Ints
    arriving: Ints
    bundled: Bools
    standard: Bools
    staff_hours: float
    price: Floats
    least: Ints
    allowed: Ints

    def greatest(self, per_test: Floats, ways: Ints) -> float:
        """The most that the whole volume could use of what ``per_test`` gives by method."""
        greatest = np.zeros(len(self.volume))
        np.maximum.at(greatest, self.catalogue.test_of[ways], per_test[ways])
        return float(greatest @ self.volume)

    def staff_binds(self, ways: Ints) -> bool:
        """The staff might not manage the whole volume."""
        most_hours = self.greatest(self.catalogue.staff_hours, ways)
        return most_hours > self.staff_hours * (1 + SLACK)

    def greatest_load(self, hours: Floats, ways: Ints) -> float:
        """The most machine hours that volume and staff could ask; ``hours`` by method."""
        using = ways[hours[ways] > 0]
        staffed = self.catalogue.staff_hours[using]
        load = self.greatest(hours, using)
        if len(using) == 0 or not (staffed > 0).all():
            return load
        return min(load, self.staff_hours * float((hours[using] / staffed).max()))

    def lacks(self, ways: Ints) -> Bools:
        """Ways × things that are missing, with those that follow: who has a narrower kind
        of device has every kind that contains it."""
        catalogue = self.catalogue
        needs = catalogue.needs[ways] & self.absent
        needs[:, : catalogue.kinds] = needs[:, : catalogue.kinds] @ catalogue.within
        return needs & self.absent


def local(instance: Instance, site: int) -> Local:
    """The figures of ``site``."""
    places, moves, catalogue = instance.places, instance.moves, instance.catalogue
    leaving = moves.leaving[site]
    working, absent = places.working[site] - leaving, ~places.present[site]
    if leaving.any():
        absent[: catalogue.kinds] = ~(catalogue.suits & (working > 0)).any(axis=1)
    return Local(
        catalogue=instance.catalogue,
        site=site,
        volume=places.volume[places.arcs_of[site]].sum(axis=0),
        absent=absent,
        working=working,
        leaving=leaving,
        arriving=moves.arriving[site],
        bundled=catalogue.bundled & absent,
        standard=_standardised(instance),
        staff_hours=float(places.staff_hours[site]),
        price=places.price[site],
        least=places.least[site],
        allowed=_affordable(instance, site),
    )


def _affordable(instance: Instance, site: int) -> Ints:
    """Quantities of each action that the shared limits would allow if nothing else was done."""
    catalogue, bounds = instance.catalogue, instance.bounds
    money = bounds.capital + catalogue.payable @ bounds.earmarks
    allowed: Floats = instance.places.most[site].astype(float)
    uses = (
        (instance.places.price[site], money),
        (catalogue.annual_cost, bounds.recurrent),
        (catalogue.trainer_days, bounds.trainer_days),
    )
    for amount, limit in uses:
        used = amount > 0
        quantity = np.broadcast_to(limit, amount.shape)[used] / amount[used]
        allowed[used] = np.minimum(allowed[used], np.floor(quantity * (1 + SLACK)))
    within: Ints = np.maximum(allowed.astype(np.int64), instance.places.least[site])
    return within


def _standardised(instance: Instance) -> Bools:
    """Models of classes of which only so many models may be bought."""
    models = np.zeros(instance.catalogue.models, dtype=bool)
    for limit in instance.bounds.standards:
        models |= limit.models
    return models
