"""The cheapest set of offers that together meet everything wanted: weighted set cover, exactly."""

from collections.abc import Sequence
from typing import NamedTuple


class Cover(NamedTuple):
    """Ordered by cost, then by number of offers, then by their positions in the list."""

    cost: float
    size: int
    chosen: tuple[int, ...]


def cheapest_cover(wanted: int, offers: Sequence[tuple[int, float]]) -> Cover | None:
    """The cheapest offers whose bits together hold all bits of ``wanted``; None if none do.

    An offer is (bits it meets, cost >= 0). Exact: some offer must meet the lowest bit that
    is still open, so all of those are tried, and what remains is worked out once. The work
    grows with the number of sets of needs that can remain, not with the number of offers.
    """
    known: dict[int, Cover | None] = {0: Cover(0.0, 0, ())}

    def best(remaining: int) -> Cover | None:
        if remaining not in known:
            lowest = remaining & -remaining
            found = [
                Cover(rest.cost + cost, rest.size + 1, tuple(sorted((*rest.chosen, position))))
                for position, (bits, cost) in enumerate(offers)
                if bits & lowest and (rest := best(remaining & ~bits)) is not None
            ]
            known[remaining] = min(found, default=None)
        return known[remaining]

    return best(wanted)
