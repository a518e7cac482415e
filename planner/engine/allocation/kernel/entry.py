"""From flat arrays to the work at one site and back, site after site."""

from typing import NamedTuple

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel.blocks import Blocks
from planner.engine.allocation.kernel.compiled import compiled
from planner.engine.allocation.kernel.tree import Site, best_items, workspace, worth_of


class Prices(NamedTuple):
    """What sites pay and are paid.

    ``of_price`` multiplies the price of each action, ``more`` is added to it; ``of_running``
    multiplies money a year, ``of_worth`` (by site) the worth of tests.
    """

    of_price: Floats
    more: Floats
    of_running: float
    of_worth: Floats


@compiled
def _laid_out(blocks: Blocks, prices: Prices, site: int) -> Site:
    """One site at ``prices``."""
    a, b = blocks.way_at[site], blocks.way_at[site + 1]
    c, d = blocks.item_at[site], blocks.item_at[site + 1]
    e, f = blocks.row_at[site], blocks.row_at[site + 1]
    use = blocks.use[blocks.use_at[site] : blocks.use_at[site + 1]]
    added = blocks.added[blocks.added_at[site] : blocks.added_at[site + 1]]
    action = blocks.action[c:d]
    return Site(
        blocks.worth[a:b] * prices.of_worth[site] - blocks.running[a:b] * prices.of_running,
        blocks.first[blocks.first_at[site] : blocks.first_at[site + 1]],
        blocks.miss[a:b],
        use.reshape(f - e, b - a),
        blocks.room[e:f],
        blocks.price[c:d] * prices.of_price[action] + prices.more[action],
        blocks.supply[c:d],
        added.reshape(f - e, d - c),
    )


@compiled
def price_sites(
    sites: Ints, blocks: Blocks, prices: Prices, nodes: int, close: float,
    quantity: Ints, value: Floats, bound: Floats, seen: Ints,
) -> None:  # fmt: skip
    """The best package of each of ``sites``.

    ``quantity`` (flat, as the items of ``blocks``) holds a first guess and becomes the
    answer; ``value``, ``bound`` (net of prices) and ``seen`` (nodes) are by site.
    """
    for site in sites:
        c, d = blocks.item_at[site], blocks.item_at[site + 1]
        value[site], bound[site], seen[site] = best_items(
            _laid_out(blocks, prices, site), quantity[c:d], blocks.most[c:d], nodes, close
        )


@compiled
def serve_sites(sites: Ints, blocks: Blocks, prices: Prices, quantity: Ints, share: Floats) -> None:
    """The best shares (flat, as the ways) of each of ``sites`` with ``quantity`` of its items."""
    for site in sites:
        a, b = blocks.way_at[site], blocks.way_at[site + 1]
        c, d = blocks.item_at[site], blocks.item_at[site + 1]
        here = _laid_out(blocks, prices, site)
        worth_of(here, quantity[c:d], share[a:b], np.zeros(len(here.room)))


@compiled
def trim_sites(sites: Ints, blocks: Blocks, prices: Prices, close: float, quantity: Ints) -> None:
    """Take out of ``quantity`` what the tests of each site do not need, the dearest first.

    Prices of actions must be 0; ``close`` (relative) is how much of a site's worth may be
    lost to rounding.
    """
    for site in sites:
        c, d = blocks.item_at[site], blocks.item_at[site + 1]
        here, having = _laid_out(blocks, prices, site), quantity[c:d]
        work = workspace(here)
        value, _ = worth_of(here, having, work.share, work.rent)
        least = value - close * abs(value)
        for item in np.argsort(-blocks.price[c:d], kind="mergesort"):
            while having[item] > 0:
                having[item] -= 1
                without, _ = worth_of(here, having, work.share, work.rent)
                if without < least:
                    having[item] += 1
                    break
