"""Every site at given prices: its best package and a bound, worked out on two threads."""

from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.kernel import Blocks, Prices, price_sites, serve_sites, trim_sites
from planner.engine.allocation.national.ordinary import THREADS
from planner.engine.allocation.national.shared import Shared, Toll, prices_of, used
from planner.engine.allocation.progress import Watch

_CHUNK = 64  # sites; so a cancelled run ends soon
_POLL_SECONDS = 0.1
_ROUNDING = 1e-12


class OutOfTimeError(Exception):
    """Time is up, or somebody wants the run to end, before all sites were priced."""


@dataclass(frozen=True)
class Sweep:
    """One package for each of ``sites``: what they would do at the prices ``toll``.

    ``quantity`` is flat over all items of the country; ``worth`` (sites of the country) is
    what the package adds to the objective, ``use`` (rows × sites) what it takes of shared
    limits. ``value`` and ``bound`` are net of prices: of the package, and of any.
    """

    sites: Ints
    toll: Toll
    quantity: Ints
    worth: Floats
    use: Floats
    value: Floats
    bound: Floats


@dataclass(frozen=True)
class Country:
    """All sites of a case, packed, and the limits that they share."""

    blocks: Blocks
    shared: Shared

    @property
    def sites(self) -> int:
        return len(self.blocks.way_at) - 1

    @property
    def site_of_way(self) -> Ints:
        return np.repeat(np.arange(self.sites), np.diff(self.blocks.way_at))

    @property
    def site_of_item(self) -> Ints:
        return np.repeat(np.arange(self.sites), np.diff(self.blocks.item_at))

    def swept(
        self, sites: Ints, toll: Toll, guess: Ints, watch: Watch, *, nodes: int, close: float
    ) -> Sweep:
        """The best packages of ``sites`` at the prices ``toll``.

        ``guess`` are quantities to start from. A site's search ends after ``nodes`` nodes, or
        when value and bound are ``close``. Raises ``OutOfTimeError``.
        """
        prices = prices_of(self.shared, toll)
        quantity = guess.astype(np.int64)
        value, bound = np.zeros(self.sites), np.zeros(self.sites)
        seen = np.zeros(self.sites, dtype=np.int64)
        in_chunks(
            sites,
            lambda part: price_sites(
                part, self.blocks, prices, nodes, close, quantity, value, bound, seen
            ),
            watch,
        )
        return self.described(sites, toll, prices, quantity, bound, watch)

    def described(
        self, sites: Ints, toll: Toll, prices: Prices, quantity: Ints, bound: Floats, watch: Watch
    ) -> Sweep:
        """The packages that have ``quantity`` of the items and serve as pays at ``prices``."""
        worth, running = self.totals(self.served(sites, prices, quantity, watch))
        use = used(self.shared, self.blocks, quantity, running)
        value = worth * prices.of_worth - toll.row @ use
        return Sweep(
            sites, toll, quantity.astype(np.int8), worth, use, value, np.maximum(bound, value)
        )

    def served(self, sites: Ints, prices: Prices, quantity: Ints, watch: Watch) -> Floats:
        """The best shares (flat, by way) of ``sites`` with ``quantity`` of the items."""
        share = np.zeros(len(self.blocks.method))
        whole = quantity.astype(np.int64)
        in_chunks(sites, lambda part: serve_sites(part, self.blocks, prices, whole, share), watch)
        return share

    def trimmed(self, prices: Prices, quantity: Ints, watch: Watch) -> Ints:
        """``quantity`` without what the tests done at these prices do not need."""
        kept = quantity.astype(np.int64)
        in_chunks(
            np.arange(self.sites),
            lambda part: trim_sites(part, self.blocks, prices, _ROUNDING, kept),
            watch,
        )
        return kept

    def totals(self, share: Floats) -> tuple[Floats, Floats]:
        """Worth, and running money for tests, of ``share``, by site."""
        worth, running = (
            np.bincount(self.site_of_way, weights=share * each, minlength=self.sites).astype(float)
            for each in (self.blocks.worth, self.blocks.running)
        )
        return worth, running


def in_chunks(sites: Ints, work: Callable[[Ints], object], watch: Watch) -> None:
    """``work`` on all ``sites``, a few at a time; the caller's thread only waits."""
    parts = [sites[low : low + _CHUNK] for low in range(0, len(sites), _CHUNK)]
    with ThreadPoolExecutor(THREADS, thread_name_prefix="sites") as pool:
        waiting = {pool.submit(work, part) for part in parts}
        while waiting:
            done, waiting = wait(waiting, _POLL_SECONDS, return_when=FIRST_COMPLETED)
            for each in done:
                each.result()
            watch.tick()
            if watch.left == 0.0:
                for each in waiting:
                    each.cancel()
                raise OutOfTimeError
