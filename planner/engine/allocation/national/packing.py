"""Sites after the groundwork, packed into the flat arrays that compiled code reads."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.groundwork import Ground, ground
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.kernel import MOST_ITEMS, MOST_ROWS, MOST_THINGS, Blocks
from planner.engine.allocation.national.ordinary import masks, ordinary


class TooLargeError(Exception):
    """A site is larger than compiled code can take."""


@dataclass(frozen=True)
class Block:
    """One site: its entries in every array of ``Blocks``."""

    first: Ints
    method: Ints
    miss: Ints
    worth: Floats
    running: Floats
    action: Ints
    supply: Ints
    most: Ints
    price: Floats
    room: Floats
    use: Floats
    added: Floats


def packed(instance: Instance, *, at_each_site: Callable[[], None] = lambda: None) -> Blocks:
    """Every site of an ``instance`` without links.

    ``at_each_site`` is called now and then, and may raise. Raises ``TooLargeError`` if a
    site has more things, items or rows than compiled code can take.
    """
    blocks = ordinary(instance, at_each_site)
    return by_groundwork(instance, at_each_site) if blocks is None else blocks


def by_groundwork(instance: Instance, at_each_site: Callable[[], None]) -> Blocks:
    """The same from ``groundwork.py``, site after site."""
    blocks = []
    for site in range(len(instance.places.sites)):
        at_each_site()
        blocks.append(block(instance, ground(instance, site)))
    return joined(blocks)


def block(instance: Instance, here: Ground) -> Block:
    """One site."""
    catalogue, places = instance.catalogue, instance.places
    volume = places.demand[here.site, catalogue.test_of[here.ways]]
    items = np.flatnonzero(here.most)
    things = np.flatnonzero(here.lacks.any(axis=0))
    rows = list(_rows(instance, here, volume, items))
    if here.hours is None or len(items) > MOST_ITEMS or len(things) > MOST_THINGS:
        raise TooLargeError(places.sites[here.site])
    if len(rows) > MOST_ROWS:
        raise TooLargeError(places.sites[here.site])
    starts = np.unique(catalogue.test_of[here.ways], return_index=True)[1]
    return Block(
        first=np.append(starts, len(here.ways)),
        method=here.ways,
        miss=masks(here.lacks[:, things]),
        worth=catalogue.value[here.ways] * volume,
        running=catalogue.consumable_cost[here.ways] * volume,
        action=items,
        supply=masks(catalogue.supplies[np.ix_(things, items)].T),
        most=here.most[items],
        price=places.price[here.site, items],
        room=np.array([room for _, room, _ in rows]),
        use=np.concatenate([np.empty(0), *(use for use, _, _ in rows)]),
        added=np.concatenate([np.empty(0), *(added for _, _, added in rows)]),
    )


def _rows(
    instance: Instance, here: Ground, volume: Floats, items: Ints
) -> Iterator[tuple[Floats, float, Floats]]:
    """Hours that a whole share uses, that there are, and that a unit adds; the largest use is 1."""
    if here.staff_binds:
        hours = instance.catalogue.staff_hours[here.ways] * volume
        there = float(instance.places.staff_hours[here.site])
        yield hours / hours.max(), there / float(hours.max()), np.zeros(len(items))
    for row in here.hours or ():
        hours = row.load[here.ways] * volume
        scale = float(hours.max())
        yield hours / scale, row.available / scale, row.added[items] / scale


def joined(blocks: list[Block]) -> Blocks:
    """Sites one after the other."""

    def flat(name: str, kind: type = float) -> Any:
        return np.concatenate([np.empty(0, dtype=kind), *(getattr(b, name) for b in blocks)])

    def starts(name: str) -> Ints:
        return np.cumsum([0, *(len(getattr(each, name)) for each in blocks)], dtype=np.int64)

    return Blocks(
        way_at=starts("method"),
        first_at=starts("first"),
        first=flat("first", np.int64),
        method=flat("method", np.int64),
        miss=flat("miss", np.int64),
        worth=flat("worth"),
        running=flat("running"),
        item_at=starts("action"),
        action=flat("action", np.int64),
        supply=flat("supply", np.int64),
        most=flat("most", np.int64),
        price=flat("price"),
        row_at=starts("room"),
        room=flat("room"),
        use_at=starts("use"),
        use=flat("use"),
        added_at=starts("added"),
        added=flat("added"),
    )


def with_empty(blocks: Blocks, number: int) -> Blocks:
    """The same with ``number`` further sites at which nothing can be done."""

    def longer(starts: Ints) -> Ints:
        return np.append(starts, np.full(number, starts[-1]))

    return blocks._replace(
        way_at=longer(blocks.way_at),
        first_at=np.append(blocks.first_at, blocks.first_at[-1] + 1 + np.arange(number)),
        first=np.append(blocks.first, np.zeros(number, dtype=np.int64)),
        item_at=longer(blocks.item_at),
        row_at=longer(blocks.row_at),
        use_at=longer(blocks.use_at),
        added_at=longer(blocks.added_at),
    )
