"""Ways between sites as somebody measured them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.access.distance import Bools, Ints
from planner.engine.access.nearest import Pairs
from planner.engine.access.travel import HOURS
from planner.engine.errors import InputError
from planner.engine.physics.quantities import Values


@dataclass(frozen=True)
class TravelTable:
    """Measured ways between sites: positions of sites, hours one way; all of one length."""

    origin: Ints
    to: Ints
    hours: Values

    @classmethod
    def of(cls, origin: Sequence[int], to: Sequence[int], hours: ArrayLike) -> "TravelTable":
        ends = np.array(origin, dtype=np.int64), np.array(to, dtype=np.int64)
        table = cls(*ends, np.atleast_1d(HOURS.values(hours)))
        if not table.origin.shape == table.to.shape == table.hours.shape:
            raise InputError("travel table", ["hours: expected one for each origin and place"])
        return table

    @classmethod
    def empty(cls) -> "TravelTable":
        return cls.of([], [], np.empty(0))

    def pairs(self, sites: int) -> Pairs:
        return Pairs.of(self.origin, self.to, sites)

    def fastest(self, capable: Bools) -> tuple[Ints, Values]:
        """Capable site that each of as many sites reaches soonest, -1 for none, and hours."""
        site, hours = np.full(len(capable), -1), np.full(len(capable), np.inf)
        ways = np.flatnonzero(capable[self.to] & ~np.isnan(self.hours))
        soonest_first = ways[np.lexsort((self.to[ways], self.hours[ways], self.origin[ways]))]
        origin, first = np.unique(self.origin[soonest_first], return_index=True)
        site[origin] = self.to[soonest_first[first]]
        hours[origin] = self.hours[soonest_first[first]]
        return site, hours
