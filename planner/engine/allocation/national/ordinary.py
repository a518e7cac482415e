"""Ordinary sites, packed by compiled code: the same as the groundwork, a hundred times faster."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.hall import overlapping_unions
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.kernel import (
    MOST_ITEMS,
    MOST_ROWS,
    MOST_THINGS,
    Blocks,
    Facts,
    Spots,
    fill_sites,
    measure_sites,
)

# Workers of a fan-out set the variable to one: each has its share of the cores already.
THREADS = max(1, min(2, int(os.environ.get("NUMBA_NUM_THREADS", os.cpu_count() or 1))))
_SLACK = 1e-9
_MOST_SETS = 48
_CHUNK = 256


def ordinary(instance: Instance, at_each_site: Callable[[], None]) -> Blocks | None:
    """All sites packed; ``None`` where compiled code cannot take them.

    That is where things, models or earmarks are more than a mask has bits, where hours can be
    short in too many ways, where a repair may fail and where something must be done.
    """
    facts = _facts(instance)
    if facts is None:
        return None
    spots = _spots(instance)
    number = len(instance.places.sites)
    sizes = np.zeros((number, 4), dtype=np.int64)
    _on_two_threads(number, lambda part: measure_sites(part, facts, spots, sizes), at_each_site)
    if (sizes[:, 2] > MOST_ITEMS).any() or (sizes[:, 3] > MOST_ROWS).any():
        return None
    blocks = _empty(sizes)
    _on_two_threads(number, lambda part: fill_sites(part, facts, spots, blocks), at_each_site)
    return blocks


def _on_two_threads(
    number: int, work: Callable[[Ints], None], at_each_site: Callable[[], None]
) -> None:
    parts = [np.arange(low, min(number, low + _CHUNK)) for low in range(0, number, _CHUNK)]
    with ThreadPoolExecutor(THREADS) as pool:
        for low in range(0, len(parts), 2 * THREADS):
            at_each_site()
            list(pool.map(work, parts[low : low + 2 * THREADS]))


def _facts(instance: Instance) -> Facts | None:
    catalogue = instance.catalogue
    things, models = len(catalogue.needs.T), catalogue.models
    if max(things, models, catalogue.payable.shape[1]) > MOST_THINGS:
        return None
    if (catalogue.presence < 1).any() or instance.places.least.any():
        return None
    busy = np.flatnonzero(catalogue.device_hours.any(axis=0))
    groups = frozenset(frozenset(np.flatnonzero(catalogue.suits[kind]).tolist()) for kind in busy)
    sets = overlapping_unions(groups, _MOST_SETS)
    if sets is None:
        return None
    return Facts(
        test_of=catalogue.test_of,
        value=catalogue.value,
        staff_hours=catalogue.staff_hours,
        consumable=catalogue.consumable_cost,
        needs=masks(catalogue.needs),
        device_hours=np.ascontiguousarray(catalogue.device_hours),
        kinds_of=masks(catalogue.suits),
        suits=masks(catalogue.suits.T),
        gives=masks(catalogue.supplies.T),
        wider=masks(catalogue.within),
        annual=catalogue.annual_cost,
        unit_hours=catalogue.unit_hours,
        tags=masks(catalogue.payable),
        sets=np.array([sum(1 << model for model in each) for each in sets], dtype=np.int64),
    )


def _spots(instance: Instance) -> Spots:
    places = instance.places
    return Spots(
        volume=places.demand,
        absent=masks(~places.present),
        working=places.working,
        staff=places.staff_hours,
        price=places.price,
        allowed=_affordable(instance),
    )


def _affordable(instance: Instance) -> Ints:
    """Sites × actions: quantities that the shared limits would allow if nothing else was done."""
    catalogue, bounds, places = instance.catalogue, instance.bounds, instance.places
    allowed: Floats = places.most.astype(float)
    money = bounds.capital + catalogue.payable @ bounds.earmarks
    uses = (
        (places.price, money),
        (catalogue.annual_cost, bounds.recurrent),
        (catalogue.trainer_days, bounds.trainer_days),
    )
    for amount, limit in uses:
        per_site, most = (
            np.broadcast_arrays(amount, allowed)[0],
            np.broadcast_to(limit, allowed.shape),
        )
        used = per_site > 0
        quantity = np.floor(most[used] / per_site[used] * (1 + _SLACK))
        allowed[used] = np.minimum(allowed[used], quantity)
    return allowed.astype(np.int64)


def masks(rows: Bools) -> Ints:
    """The set places of each row as bits."""
    bits: Ints = np.left_shift(np.int64(1), np.arange(rows.shape[1], dtype=np.int64))
    found: Ints = (rows * bits).sum(axis=1, dtype=np.int64)
    return found


def _empty(sizes: Ints) -> Blocks:
    ways, tests, items, rows = sizes.T

    def starts(lengths: Ints) -> Ints:
        return np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)

    way_at, item_at, first_at = starts(ways), starts(items), starts(tests + 1)
    row_at, use_at, added_at = starts(rows), starts(rows * ways), starts(rows * items)
    return Blocks(
        way_at=way_at,
        first_at=first_at,
        first=np.zeros(first_at[-1], dtype=np.int64),
        method=np.zeros(way_at[-1], dtype=np.int64),
        miss=np.zeros(way_at[-1], dtype=np.int64),
        worth=np.zeros(way_at[-1]),
        running=np.zeros(way_at[-1]),
        item_at=item_at,
        action=np.zeros(item_at[-1], dtype=np.int64),
        supply=np.zeros(item_at[-1], dtype=np.int64),
        most=np.zeros(item_at[-1], dtype=np.int64),
        price=np.zeros(item_at[-1]),
        row_at=row_at,
        room=np.zeros(row_at[-1]),
        use_at=use_at,
        use=np.zeros(use_at[-1]),
        added_at=added_at,
        added=np.zeros(added_at[-1]),
    )
