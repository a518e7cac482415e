"""What is done with given purchases, all sites together: only running money is shared then.

At a price of running money each site serves by itself. The price at which the money just
lasts is found by bisection; of what sites do just below and just above it a mixture spends
exactly the money. Mixtures are allowed since volumes need not be whole, and by duality this
one is best.
"""

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel import Prices
from planner.engine.allocation.national.exact import PartProgram
from planner.engine.allocation.national.shared import Shared, used
from planner.engine.allocation.national.sites import Country, OutOfTimeError
from planner.engine.allocation.progress import Watch

_HALVINGS = 60
_CLOSE = 1e-12
_TIE = 1e-9
_DEAREST = 1e30


class Volumes:
    """Shares of ways with ``quantity`` of the items, ``money`` a year being there for tests.

    With ``groups`` the points of groups, nothing bought there, follow the shares.
    """

    def __init__(
        self, country: Country, quantity: Ints, money: float, watch: Watch, *, groups: bool
    ) -> None:
        self.country, self.quantity, self.money, self.watch = country, quantity, money, watch
        self.groups = country.groups if groups else ()
        parts = [np.zeros(len(group.program.gain)) for group in self.groups]
        for group, part in zip(self.groups, parts, strict=True):
            part[group.share_column] = group.running
        self.running = np.concatenate([country.blocks.running, *parts])
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
            if high > _DEAREST:
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
        shares = self.country.served(sites, prices, self.quantity, self.watch)
        return np.concatenate([shares, *(self._point(group, prices) for group in self.groups)])

    def _point(self, group: PartProgram, prices: Prices) -> Floats:
        """What a group does with what it has."""
        answer = group.as_it_is().best(
            prices, 1.0, self.watch, gap=0.0, nodes=None, seconds=self.watch.left
        )
        if answer.x is None:
            raise OutOfTimeError
        return answer.x

    def _cost(self, share: Floats) -> float:
        return float(share @ self.running)


def money_for_tests(country: Country, quantity: Ints) -> float:
    """Running money that upkeep of ``quantity`` of the items leaves; infinite without a limit."""
    shared = country.shared
    if shared.running < 0:
        return np.inf
    upkeep = used(shared, country.blocks, quantity, np.zeros(country.sites))[shared.running]
    return float(shared.limit[shared.running] - upkeep.sum())


def service_prices(shared: Shared, running: float) -> Prices:
    """Everything that is there is free, and money for tests costs ``running``."""
    free = np.zeros(len(shared.annual))
    return Prices(free, free, running, np.ones(len(shared.area_of)))


def reaches_floors(country: Country, share: Floats, elsewhere: Floats) -> bool:
    """Whether each area gets what its floor asks for; ``elsewhere`` is the worth of groups."""
    shared = country.shared
    worth = country.totals(share)[0] + elsewhere
    by_area = np.bincount(shared.area_of, weights=worth, minlength=len(shared.floor))
    return bool((by_area >= shared.floor * (1 - _CLOSE)).all())
