"""What is left of the problem at one site, once all that cannot matter is set aside.

Nothing here changes the optimum. A way to do a test goes if it can never run, or if
another way of the same test is at least as good in every respect; an action goes if
nothing needs what it gives, or if another gives at least as much for no more; quantities
stop where more units could not be used; rows go that cannot bind.
"""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Ints
from planner.engine.allocation.hours import HoursRow, hours_rows
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.local import Local, local
from planner.engine.allocation.useful import useful_quantities


@dataclass(frozen=True)
class Ground:
    """One site after the groundwork.

    ``ways`` are the methods that may run; ``lacks`` (ways × things) what each misses,
    ``least`` and ``most`` the quantity of each action that must be taken and that is of use.
    ``hours`` is ``None`` where the rows would be too many: then machine hours are split by
    variables.
    """

    site: int
    ways: Ints
    lacks: Bools
    least: Ints
    most: Ints
    staff_binds: bool
    hours: tuple[HoursRow, ...] | None


def ground(instance: Instance, site: int) -> Ground:
    """Set aside what cannot matter at ``site``."""
    here = local(instance, site)
    ways = _possible_ways(here)
    ways = _undominated_ways(here, ways, hours_rows(here, ways, here.allowed))
    most = _undominated_actions(here, ways, useful_quantities(here, ways))
    return Ground(
        site=site,
        ways=ways,
        lacks=here.lacks(ways),
        least=here.least,
        most=most,
        staff_binds=here.staff_binds(ways),
        hours=hours_rows(here, ways, most),
    )


def _possible_ways(here: Local) -> Ints:
    """Methods of some worth and demand, for which nothing is out of reach."""
    catalogue = here.catalogue
    out_of_reach = here.absent & ~catalogue.supplies[:, here.allowed > 0].any(axis=1)
    if (movable := (here.leaving > 0) | (here.arriving > 0)).any():
        out_of_reach[: catalogue.kinds] &= ~catalogue.suits[:, movable].any(axis=1)
    possible = catalogue.counts & (here.volume[catalogue.test_of] > 0)
    possible &= ~(catalogue.needs & out_of_reach).any(axis=1)
    if here.staff_hours == 0:
        possible &= catalogue.staff_hours == 0
    return np.flatnonzero(possible)


def _undominated_ways(here: Local, ways: Ints, hours: tuple[HoursRow, ...] | None) -> Ints:
    """Leave out each way that another way of the same test equals or beats in everything."""
    catalogue = here.catalogue
    test_of = catalogue.test_of[ways]
    one, other = np.nonzero((test_of[:, None] == test_of) & ~np.eye(len(ways), dtype=bool))
    uses = [-catalogue.value[ways], catalogue.consumable_cost[ways]]
    if here.staff_binds(ways):
        uses.append(catalogue.staff_hours[ways])
    if hours is None:
        uses += list(catalogue.device_hours[ways].T)
    else:
        uses += [row.load[ways] for row in hours]
    table = np.array(uses)
    lacks = here.lacks(ways)
    beats = (table[:, one] <= table[:, other]).all(axis=0)
    beats &= ~(lacks[one] & ~lacks[other]).any(axis=1)
    return ways[~_beaten(len(ways), one[beats], other[beats])]


def _beaten(number: int, one: Ints, other: Ints) -> Bools:
    """Which entries go, given pairs where ``one`` is no worse than ``other``.

    Of entries that are no worse than each other the first stays.
    """
    no_worse = np.zeros((number, number), dtype=bool)
    no_worse[one, other] = True
    first = np.arange(number)[:, None] < np.arange(number)
    beaten: Bools = np.any(no_worse & (first | ~no_worse.T), axis=0)
    return beaten


def _undominated_actions(here: Local, ways: Ints, useful: Ints) -> Ints:
    """The useful and allowed quantities, 0 for devices that another device equals or beats.
    What a plan must take stays.

    The better one must be allowed in the number that is useful: else it could not stand
    in for all units of the other.
    """
    catalogue = here.catalogue
    most: Ints = np.minimum(here.allowed, useful)
    devices = np.flatnonzero(most[: 2 * catalogue.models])
    needed: Bools = np.any(catalogue.needs[ways], axis=0)
    gives = catalogue.supplies[:, devices] & needed[:, None]
    costs = np.array([here.price[devices], catalogue.annual_cost[devices]])
    hours, presence = catalogue.unit_hours[devices], catalogue.presence[devices]
    payable = catalogue.payable[devices]
    no_worse: Bools = np.all(costs[:, :, None] <= costs[:, None, :], axis=0)
    no_worse &= hours[:, None] >= hours
    no_worse &= presence[:, None] >= presence
    no_worse &= ~(gives[:, None, :] & ~gives[:, :, None]).any(axis=0)
    no_worse &= ~(payable[None, :, :] & ~payable[:, None, :]).any(axis=2)
    no_worse &= (here.allowed >= useful)[devices][:, None]
    if here.standard.any():  # one more model may be one too many
        no_worse &= ~(here.standard[devices % catalogue.models] & (devices < catalogue.models))[
            :, None
        ]
    if here.bundled.any():
        belongs = here.bundled[devices]
        no_worse &= ~(belongs[:, None, :] & ~belongs[None, :, :]).any(axis=2)
    np.fill_diagonal(no_worse, False)
    most[devices[_beaten(len(devices), *np.nonzero(no_worse))]] = 0
    return np.maximum(most, here.least)
