"""The search for prices of the shared limits: sites answer, the master asks again.

Whatever the prices, what sites can gain at most at them, together with what the limits are
worth at them, is a bound on every plan (Lagrangian duality). The master's prices are mixed
with the best so far (Wentges 1997), since on few packages they swing to and fro.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel import Prices
from planner.engine.allocation.national.exact import SitePrograms
from planner.engine.allocation.national.master import Master, Priced
from planner.engine.allocation.national.packages import Packages, best_of_each
from planner.engine.allocation.national.shared import Line, Shared, Toll, line_of, prices_of
from planner.engine.allocation.national.sites import Country, OutOfTimeError, Sweep
from planner.engine.allocation.progress import Watch, gap_between

_QUICK, _THOROUGH = 30, 400  # nodes of a site's tree
_CLOSE = 1e-6  # of the worth of an average site
_SCALARS = (3.0, 1.0, 0.3, 0.1, 0.03, 0.01)
_ROUNDS = 60
_ROUNDING = 1e-9


@dataclass
class Search:
    """Packages, prices and the bound for ``sites``, which share the limits ``shared``."""

    country: Country
    shared: Shared
    sites: Ints
    watch: Watch
    programs: SitePrograms | None = None
    aim: float = 1e-4
    packages: Packages = field(init=False)
    lines: list[Line] = field(default_factory=list)
    priced: Priced | None = None
    guess: Ints = field(init=False)
    _master: Master | None = None

    def __post_init__(self) -> None:
        self.packages = Packages(self.shared.rows)
        self.guess = np.zeros(len(self.country.blocks.action), dtype=np.int8)

    @property
    def bound(self) -> float:
        """No plan within the limits is worth more than this."""
        return min((line.at(self.shared.capital) for line in self.lines), default=np.inf)

    @property
    def best(self) -> Toll:
        """The prices that prove ``bound``."""
        return min(self.lines, key=lambda line: line.at(self.shared.capital)).toll

    def move_to(self, capital: float) -> None:
        """Go on with other capital: packages and bounds found so far stay true."""
        self.shared = self.shared.with_capital(capital)
        if self._master is not None:
            self._master.limit_to(self.shared)

    def begin(self, toll: Toll | None) -> None:
        """First packages: near the prices ``toll``, or from dear to cheap money."""
        nothing = Toll(np.zeros(self.shared.rows), np.zeros(len(self.shared.floor)))
        everything = self.ask(nothing, _QUICK, programs=None)
        if toll is not None:
            for factor in (1.3, 1.0, 0.75):
                self.ask(Toll(factor * toll.row, toll.bonus), _QUICK, programs=None)
            return
        money = int(np.argmax(self.shared.paid.sum(axis=1)))
        spent = everything.use[money, self.sites].sum()
        worth = everything.worth[self.sites].sum()
        for factor in _SCALARS if spent > self.shared.limit[money] else ():
            row = np.zeros(self.shared.rows)
            row[money] = factor * worth / spent
            self.ask(Toll(row, nothing.bonus), _QUICK, programs=None)

    def close_in(self, gap: float) -> bool:
        """Better prices until bound and master are within ``gap``; false if that was as far
        as prices go."""
        part = 0.5
        for _ in range(_ROUNDS):
            priced = self._solved()
            if gap_between(priced.value, self.bound) <= max(gap, _ROUNDING):
                return True
            before, known = self.bound, len(self.packages)
            toll = self.best.between(priced.toll, 1.0 - part)
            self.ask(toll, _THOROUGH, programs=self.programs)
            self.watch.saw(None, self.bound)
            found = len(self.packages) > known
            if part == 0.0 and not found:
                return False
            better = before - self.bound > 0.1 * (before - priced.value)
            part = part if better and found else (0.0 if part < 0.2 else part / 2)
        return False

    def ask(self, toll: Toll, nodes: int, programs: SitePrograms | None) -> Sweep:
        """All sites at these prices: packages that the master lacks, and a bound."""
        worth = np.abs(self.bound if np.isfinite(self.bound) else self.country.blocks.worth.sum())
        close = _CLOSE * float(worth) / len(self.sites)
        sweep = self.country.swept(
            self.sites, toll, self.guess, self.watch, nodes=nodes, close=close,
            gap=self.aim * (0.3 if nodes == _THOROUGH else 10),
        )  # fmt: skip
        if programs is not None:
            open_to = max(0.1 * self.aim * worth, 0.2 * self._distance(), close)
            sweep = _finished(self.country, programs, sweep, float(open_to), self.watch)
        self.guess = sweep.quantity
        self.lines.append(line_of(self.shared, toll, float(sweep.bound[self.sites].sum())))
        self._add(sweep)
        return sweep

    def _distance(self) -> float:
        """How far the bound is from the master's value; 0 if either is not known yet."""
        if self.priced is None or not np.isfinite(self.bound):
            return 0.0
        return max(0.0, self.bound - self.priced.value)

    def _add(self, sweep: Sweep) -> None:
        """Add packages that are worth more than all of their site's so far, at the last prices."""
        fresh = self.sites
        if self.priced is not None:
            toll, area_of = self.priced.toll, self.shared.area_of
            net = self.packages.net(toll, area_of)
            best = best_of_each(net, self.packages.site, self.country.sites)
            offered = sweep.worth * (1 + toll.bonus[area_of]) - toll.row @ sweep.use
            close = 1e-9 * float(np.abs(best[self.sites]).mean())
            fresh = self.sites[(offered > best + close)[self.sites]]
        if self._master is None:
            unit = max(1e-9, float(sweep.worth.sum()) / len(self.sites))
            self._master = Master(self.shared, self.sites, unit)
        self._master.add(self.packages, self.packages.add(sweep, fresh))

    def _solved(self) -> Priced:
        assert self._master is not None
        priced = self._master.solve(self.watch, len(self.packages))
        if priced is None:
            raise OutOfTimeError
        self.priced = priced
        return priced


def _finished(
    country: Country, programs: SitePrograms, sweep: Sweep, allowed: float, watch: Watch
) -> Sweep:
    """The sweep with sites whose trees stayed open solved by HiGHS, the widest first.

    As many as it takes until what is open altogether is at most ``allowed``.
    """
    open_by = sweep.bound - sweep.value
    open_by[country.group_numbers(sweep.sites)] = 0.0
    toll, blocks = sweep.toll, country.blocks
    prices = prices_of(country.shared, toll)
    left = open_by.sum() - allowed
    quantity, bound = sweep.quantity.astype(np.int64), sweep.bound.copy()
    again = []
    for site in np.argsort(-open_by, kind="stable"):
        if left <= 0 or watch.left == 0.0:
            break
        left -= open_by[site]
        found, upper = programs.best(
            int(site), prices, watch, gap=1e-6, seconds=min(10.0, watch.left)
        )
        bound[site] = min(bound[site], upper * (1 + 1e-9) if upper > 0 else upper)
        if found is not None:
            quantity[blocks.item_at[site] : blocks.item_at[site + 1]] = found
            again.append(int(site))
    if not again:
        return sweep
    return _with(country, sweep, np.array(again), prices, quantity, bound, watch)


def _with(
    country: Country, sweep: Sweep, sites: Ints, prices: Prices, quantity: Ints, bound: Floats,
    watch: Watch,
) -> Sweep:  # fmt: skip
    """The sweep with other quantities at ``sites`` where they are worth more."""
    found = country.described(sweep.sites, sweep.toll, prices, quantity, bound, watch)
    better = np.zeros(country.sites, dtype=bool)
    better[sites] = found.value[sites] > sweep.value[sites]
    items = better[country.site_of_item]
    return replace(
        sweep,
        quantity=np.where(items, found.quantity, sweep.quantity),
        worth=np.where(better, found.worth, sweep.worth),
        use=np.where(better, found.use, sweep.use),
        value=np.where(better, found.value, sweep.value),
        bound=np.maximum(bound, np.where(better, found.value, sweep.value)),
    )
