"""What is done with given purchases, all sites together: only running money is shared then.

At a price of running money each site serves by itself. The price at which the money just
lasts is found by bisection; of what sites do just below and just above it a mixture spends
exactly the money. Mixtures are allowed since volumes need not be whole, and by duality this
one is best.
"""

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel import Prices
from planner.engine.allocation.national.shared import Shared, used
from planner.engine.allocation.national.sites import Country
from planner.engine.allocation.progress import Watch

_HALVINGS = 60
_CLOSE = 1e-12
_TIE = 1e-9


class Volumes:
    """Shares of ways by the price of running money, with ``quantity`` of the items."""

    def __init__(self, country: Country, quantity: Ints, watch: Watch) -> None:
        self.country, self.quantity, self.watch = country, quantity, watch
        shared = country.shared
        idle = np.zeros(country.sites)
        upkeep = used(shared, country.blocks, quantity, idle)[shared.running].sum()
        self.money = shared.limit[shared.running] - upkeep if shared.running >= 0 else np.inf
        # Of equal services the one with the lower running cost, even where money is plenty.
        worth, running = country.blocks.worth.sum(), country.blocks.running.sum()
        self.least_price = _TIE * worth / running if running > 0 else 0.0

    def best(self) -> tuple[Floats, float]:
        """Shares of greatest worth within the running money, and the price of that money."""
        low, lavish = self.least_price, self._at(self.least_price)
        if self._cost(lavish) <= self.money:
            return lavish, low
        high = max(low, 1e-6)
        while self._cost(thrifty := self._at(high)) > self.money:
            low, lavish, high = high, thrifty, 4 * high
            if high > 1e30:
                return thrifty, high
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            if high - low <= _CLOSE * high:
                break
            between = self._at(middle)
            if self._cost(between) > self.money:
                low, lavish = middle, between
            else:
                high, thrifty = middle, between
        more, less = self._cost(lavish), self._cost(thrifty)
        part = (self.money - less) / (more - less) if more > less else 0.0
        part = min(1.0, max(0.0, part * (1 - _CLOSE)))
        return part * lavish + (1 - part) * thrifty, high

    def _at(self, price: float) -> Floats:
        prices = service_prices(self.country.shared, price)
        sites = np.arange(self.country.sites)
        return self.country.served(sites, prices, self.quantity, self.watch)

    def _cost(self, share: Floats) -> float:
        return float(share @ self.country.blocks.running)


def service_prices(shared: Shared, running: float) -> Prices:
    """Everything that is there is free, and money for tests costs ``running``."""
    free = np.zeros(len(shared.annual))
    return Prices(free, free, running, np.ones(len(shared.area_of)))


def reaches_floors(country: Country, share: Floats) -> bool:
    """Whether each area gets what its floor asks for."""
    shared = country.shared
    worth, _ = country.totals(share)
    by_area = np.bincount(shared.area_of, weights=worth, minlength=len(shared.floor))
    return bool((by_area >= shared.floor * (1 - _CLOSE)).all())
