"""Hall's condition: when can what several groups ask be shared out among what there is?

Each group asks for an amount and may use only some of the sources; each source has an
amount. A sharing exists exactly if, for every set of groups, what they ask together is at
most what the sources open to any of them hold together (Hall 1935; for amounts, Gale
1957). Only sets of sources that are unions of overlapping groups' sources matter.
Machine hours (kinds of device, models) are shared out so, and earmarked money.
"""

from collections.abc import Iterable
from functools import lru_cache


@lru_cache(maxsize=4096)
def overlapping_unions(
    groups: frozenset[frozenset[int]], most: int
) -> tuple[frozenset[int], ...] | None:
    """Every union of groups that hang together by overlaps; ``None`` if more than ``most``.

    For a chain (each group within the next) these are the groups themselves.
    """
    found = set(groups)
    fresh: Iterable[frozenset[int]] = tuple(found)
    while fresh:
        grown = {one | other for one in fresh for other in groups if one & other} - found
        found |= grown
        if len(found) > most:
            return None
        fresh = grown
    return tuple(sorted(found, key=lambda union: (len(union), sorted(union))))
