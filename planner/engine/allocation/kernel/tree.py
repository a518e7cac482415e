"""The best items of one site: branch and bound over whole units, depth first.

Each node bounds the site by sharing item prices over tests (``ascent``) after hours have
been given a rent; its heuristic buys what the bound says is worth its price and then gives
back what turns out not to be needed. Items that cannot pay are fixed out by reduced cost.
"""

from typing import NamedTuple

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel.ascent import ascent
from planner.engine.allocation.kernel.compiled import compiled
from planner.engine.allocation.kernel.hours import serve

_STACK = 192
_TIGHT = 1e-9


class Site(NamedTuple):
    """One site at given prices; shapes as in ``Blocks``, ``use`` and ``added`` with a row each."""

    gain: Floats
    first: Ints
    miss: Ints
    use: Floats
    room: Floats
    cost: Floats
    supply: Ints
    added: Floats


class Work(NamedTuple):
    """What the search writes on: shares of ways, rents of rows, items' slack and quantities."""

    share: Floats
    rent: Floats
    trial: Floats
    slack: Floats
    quantity: Ints
    best: Ints


@compiled
def workspace(site: Site) -> Work:
    """Empty arrays for the search at ``site``."""
    ways, rows, items = len(site.gain), len(site.room), len(site.cost)
    return Work(
        np.zeros(ways), np.zeros(rows), np.zeros(rows), np.zeros(items),
        np.zeros(items, np.int64), np.zeros(items, np.int64),
    )  # fmt: skip


@compiled
def worth_of(site: Site, quantity: Ints, share: Floats, rent: Floats) -> tuple[float, float]:
    """Net worth of having ``quantity`` of each item, and a bound on it."""
    have, paid = 0, 0.0
    room = site.room.copy()
    for item in range(len(quantity)):
        if quantity[item] > 0:
            have |= site.supply[item]
            paid += site.cost[item] * quantity[item]
            for row in range(len(room)):
                room[row] += site.added[row, item] * quantity[item]
    ready = np.empty(len(site.gain), np.bool_)
    for way in range(len(site.gain)):
        ready[way] = (site.miss[way] & ~have) == 0
    value, bound = serve(site.gain, site.first, ready, site.use, room, share, rent)
    return value - paid, bound - paid


@compiled
def _bound(site: Site, low: Ints, high: Ints, rent: Floats, slack: Floats) -> float:
    """No quantities from ``low`` to ``high`` are worth more than this, hours at ``rent``.

    ``slack`` becomes what a further unit of each item costs the bound.
    """
    rows, items = len(site.room), len(site.cost)
    have, reach, total = 0, 0, 0.0
    net = np.empty(items)
    for row in range(rows):
        total += rent[row] * site.room[row]
    for item in range(items):
        net[item] = site.cost[item]
        for row in range(rows):
            net[item] -= rent[row] * site.added[row, item]
        total -= net[item] * low[item]
        if low[item] > 0:
            have |= site.supply[item]
        if high[item] == low[item]:
            net[item] = np.inf
        elif net[item] <= 0.0:
            total -= net[item] * (high[item] - low[item])
            have |= site.supply[item]
            net[item] = 0.0
        else:
            reach |= site.supply[item]
    gain, need = site.gain.copy(), np.empty(len(site.gain), np.int64)
    for way in range(len(gain)):
        need[way] = site.miss[way] & ~have
        for row in range(rows):
            gain[way] -= rent[row] * site.use[row, way]
    return total + ascent(gain, site.first, need, reach, net, site.supply, slack)


@compiled
def _greedy(site: Site, low: Ints, high: Ints, work: Work) -> float:
    """Buy what pays according to the slack, then give back what is not needed.

    Leaves the quantities in ``work.quantity`` and the rents of hours in ``work.trial``.
    """
    having, cost = work.quantity, site.cost
    for item in range(len(cost)):
        having[item] = low[item]
        if high[item] > low[item] and work.slack[item] <= _TIGHT * (1.0 + cost[item]):
            having[item] += 1
    value, _ = worth_of(site, having, work.share, work.trial)
    tried = np.zeros(len(cost), np.bool_)
    while True:
        dearest = -1
        for item in range(len(cost)):
            open_to = having[item] > low[item] and not tried[item]
            if open_to and (dearest < 0 or cost[item] > cost[dearest]):
                dearest = item
        if dearest < 0:
            break
        tried[dearest] = True
        having[dearest] -= 1
        without, _ = worth_of(site, having, work.share, work.trial)
        if without >= value:
            value = without
        else:
            having[dearest] += 1
    value, _ = worth_of(site, having, work.share, work.trial)
    return value


@compiled
def _retuned(site: Site, low: Ints, high: Ints, bound: float, work: Work) -> float:
    """The bound with one rent at a time moved up and down while that lowers it."""
    for _ in range(2):
        for row in range(len(site.room)):
            for factor in (0.0, 0.5, 0.8, 0.95, 1.05, 1.25, 2.0):
                work.trial[:] = work.rent
                work.trial[row] *= factor
                lower = _bound(site, low, high, work.trial, work.slack)
                if lower < bound:
                    bound = lower
                    work.rent[:] = work.trial
    return bound


@compiled
def _looked_at(
    site: Site, low: Ints, high: Ints, value: float, close: float, seen: int, work: Work
) -> tuple[float, float]:
    """The bound of a node, and the best value once its heuristic has been tried.

    With hours to share the heuristic costs a linear program, so not every node tries it.
    """
    bound = _bound(site, low, high, work.rent, work.slack)
    rows = len(site.room)
    if bound <= value + close or (rows > 0 and seen % 4 != 1):
        return bound, value
    found = _greedy(site, low, high, work)
    if found > value:
        value = found
        work.best[:] = work.quantity
    if rows > 0:
        lower = _bound(site, low, high, work.trial, work.slack)
        if lower < bound:
            bound = lower
            work.rent[:] = work.trial
        if seen == 1:
            bound = _retuned(site, low, high, bound, work)
        bound = _bound(site, low, high, work.rent, work.slack)
    return bound, value


@compiled
def _branch(low: Ints, high: Ints, slack: Floats, cost: Floats) -> int:
    """The item to decide next: of those that seem to pay the dearest, else the nearest to."""
    found, best = -1, np.inf
    for item in range(len(cost)):
        if high[item] > low[item]:
            rank = -cost[item] if slack[item] <= _TIGHT * (1.0 + cost[item]) else slack[item]
            if rank < best or found < 0:
                found, best = item, rank
    return found


@compiled
def best_items(
    site: Site, start: Ints, most: Ints, nodes: int, close: float
) -> tuple[float, float, int]:
    """Quantities of greatest net worth: their worth, a bound on any, nodes looked at.

    ``start`` is a first guess and becomes the answer. The search ends when the two are
    ``close`` or after ``nodes`` nodes; the bound holds either way.
    """
    work = workspace(site)
    work.best[:] = start
    value, _ = worth_of(site, work.best, work.share, work.rent)
    lows, highs = np.zeros((_STACK, len(most)), np.int64), np.zeros((_STACK, len(most)), np.int64)
    rents, uppers = np.zeros((_STACK, len(site.room))), np.full(_STACK, np.inf)
    highs[0, :] = most
    rents[0, :] = work.rent
    height, seen, proven = 1, 0, value
    while height > 0:
        height -= 1
        low, high, upper = lows[height].copy(), highs[height].copy(), uppers[height]
        if upper <= value + close or seen >= nodes or height + 2 >= _STACK:
            proven = max(proven, upper)
            continue
        seen += 1
        work.rent[:] = rents[height]
        bound, value = _looked_at(site, low, high, value, close, seen, work)
        upper = min(upper, bound)
        if upper <= value + close:
            proven = max(proven, upper)
            continue
        for item in range(len(most)):
            if high[item] > low[item] and bound - work.slack[item] <= value + close:
                high[item] = low[item]
                proven = max(proven, bound - work.slack[item])
        item = _branch(low, high, work.slack, site.cost)
        if item < 0:
            found, leaf = worth_of(site, low, work.share, work.trial)
            if found > value:
                value = found
                work.best[:] = low
            proven = max(proven, min(upper, leaf))
            continue
        lows[height : height + 2, :], highs[height : height + 2, :] = low, high
        rents[height : height + 2, :], uppers[height : height + 2] = work.rent, upper
        highs[height, item] = low[item]
        lows[height + 1, item] = low[item] + 1
        height += 2
    start[:] = work.best
    return value, max(proven, value), seen
