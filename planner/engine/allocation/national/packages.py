"""Packages found so far: of each site several, each a whole way to spend and to serve."""

from dataclasses import dataclass, field

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.national.shared import Toll
from planner.engine.allocation.national.sites import Sweep


@dataclass
class Packages:
    """Packages as columns: ``site``, the ``sweep`` that found it, ``worth`` and ``use``."""

    rows: int
    sweeps: list[Sweep] = field(default_factory=list)
    site: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    sweep: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    worth: Floats = field(default_factory=lambda: np.zeros(0))
    use: Floats = field(default_factory=lambda: np.zeros((0, 0)))

    def __len__(self) -> int:
        return len(self.site)

    def add(self, sweep: Sweep, sites: Ints) -> Ints:
        """Add the packages of ``sites`` in ``sweep``; returns their numbers."""
        number, before = len(self.sweeps), len(self.site)
        self.sweeps.append(sweep)
        self.site = np.append(self.site, sites)
        self.sweep = np.append(self.sweep, np.full(len(sites), number))
        self.worth = np.append(self.worth, sweep.worth[sites])
        use = sweep.use[:, sites]
        self.use = use if before == 0 else np.hstack([self.use, use])
        return np.arange(before, len(self.site))

    def net(self, toll: Toll, area_of: Ints) -> Floats:
        """What each package is worth to its site at the prices ``toll``."""
        return self.worth * (1.0 + toll.bonus[area_of[self.site]]) - toll.row @ self.use


def best_of_each(net: Floats, site: Ints, sites: int) -> Floats:
    """The greatest ``net`` among the packages of each site; minus infinity where there is none."""
    best = np.full(sites, -np.inf)
    np.maximum.at(best, site, net)
    return best
