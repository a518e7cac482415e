"""A bound on one site by sharing the price of each item out over the tests that need it.

Weak duality of the relaxed site problem: whatever part of an item's price each test is made
to carry, no plan of the site is worth more than what the tests have left. Raising the parts
test by test, as far as each can carry (dual ascent), makes the bound tight at most sites.
"""

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel.compiled import compiled

_CLOSE = 1e-12


@compiled
def bits(mask: int) -> int:
    """How many bits are set."""
    count = 0
    while mask != 0:
        mask &= mask - 1
        count += 1
    return count


@compiled
def ascent(
    gain: Floats, first: Ints, need: Ints, reach: int, cost: Floats, supply: Ints, slack: Floats
) -> float:
    """A bound on the gain of all tests, where the items' ``cost`` is shared out over them.

    ``need`` are the things that are still missing, ``reach`` those that can still be had;
    ``slack`` becomes the part of each item's cost that no test could carry.
    """
    total = 0.0
    rest = np.empty(len(gain))
    for item in range(len(cost)):
        slack[item] = cost[item]
    for test in range(len(first) - 1):
        low, high = first[test], first[test + 1]
        for way in range(low, high):
            rest[way] = gain[way] if (need[way] & ~reach) == 0 else 0.0
        while True:
            hit, top, following = _hit(rest, need, low, high, supply, slack)
            if hit == 0:
                total += top
                break
            step = top - following
            for item in range(len(cost)):
                count = bits(supply[item] & hit)
                if count > 0 and slack[item] < step * count:
                    step = slack[item] / count
            for item in range(len(cost)):
                count = bits(supply[item] & hit)
                if count > 0:
                    slack[item] = max(0.0, slack[item] - count * step)
            for way in range(low, high):
                rest[way] -= step * bits(need[way] & hit)
    return total


@compiled
def _hit(
    rest: Floats, need: Ints, low: int, high: int, supply: Ints, slack: Floats
) -> tuple[int, float, float]:
    """Things whose price would lower every best way of a test; the best, the next best.

    No things if the best way needs nothing, or nothing that can still carry a price.
    """
    top = 0.0
    for way in range(low, high):
        top = max(top, rest[way])
    close = _CLOSE * (1.0 + top)
    hit = 0
    if top <= close:
        return hit, top, 0.0
    while True:
        best, value = -1, 0.0
        for way in range(low, high):
            if (need[way] & hit) == 0 and rest[way] > value:
                best, value = way, rest[way]
        if value < top - close:
            return hit, top, value
        if best < 0:
            return hit, top, 0.0
        thing, most = 0, close
        mask = need[best]
        while mask != 0:
            bit = mask & -mask
            mask ^= bit
            least = np.inf
            for item in range(len(supply)):
                if (supply[item] & bit) != 0 and slack[item] < least:
                    least = slack[item]
            if most < least < np.inf:
                thing, most = bit, least
        if thing == 0:
            return 0, top, 0.0
        hit |= thing
