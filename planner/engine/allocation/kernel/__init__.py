"""The best package of a site at given prices, as compiled code on flat arrays.

A site is a small program of its own. Ways belong to tests; the shares of a test's ways add
up to at most 1. A way asks for the things in a bit mask; an item supplies those of its mask
at a cost, in whole units. Rows are hours: what a whole share uses, what there is, what a
unit adds. Every bound holds by weak duality whatever prices it was made from: a poor price
makes it weaker, never false. ``method.md`` has the mathematics.
"""

from planner.engine.allocation.kernel.blocks import MOST_ITEMS, MOST_ROWS, MOST_THINGS, Blocks
from planner.engine.allocation.kernel.entry import Prices, price_sites, serve_sites, trim_sites
from planner.engine.allocation.kernel.ground import Facts, Spots, fill_sites, measure_sites

__all__ = [
    "MOST_ITEMS",
    "MOST_ROWS",
    "MOST_THINGS",
    "Blocks",
    "Facts",
    "Prices",
    "Spots",
    "fill_sites",
    "measure_sites",
    "price_sites",
    "serve_sites",
    "trim_sites",
]
