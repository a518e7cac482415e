"""Sites as flat arrays, the form in which compiled code reads them."""

from typing import NamedTuple

from planner.engine.allocation.arrays import Floats, Ints

MOST_THINGS = 62  # bits of a mask
MOST_ITEMS = 64
MOST_ROWS = 49  # all of the groundwork: staff, and its most rows of machine hours


class Blocks(NamedTuple):
    """Sites one after the other; site s has ``item_at[s]:item_at[s + 1]`` of the items, etc.

    ``first`` has one entry more than tests at each site. ``worth`` (the objective's) and
    ``running`` (money a year) are of a whole share. ``use`` and ``added`` are rows × ways and
    rows × items of each site, flat.
    """

    way_at: Ints
    first_at: Ints
    first: Ints
    method: Ints
    miss: Ints
    worth: Floats
    running: Floats
    item_at: Ints
    action: Ints
    supply: Ints
    most: Ints
    price: Floats
    row_at: Ints
    room: Floats
    use_at: Ints
    use: Floats
    added_at: Ints
    added: Floats
