"""Every site at given prices: its best package and a bound, worked out on two threads."""

import threading
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.kernel import Blocks, Prices, price_sites, serve_sites, trim_sites
from planner.engine.allocation.national.exact import PartProgram
from planner.engine.allocation.national.ordinary import THREADS
from planner.engine.allocation.national.shared import Shared, Toll, prices_of, used
from planner.engine.allocation.progress import Watch

_CHUNK = 64  # sites; so a cancelled run ends soon
_POLL_SECONDS = 0.1
_ROUNDING = 1e-12
_GROUP_NODES = 200


class OutOfTimeError(Exception):
    """Time is up, or somebody wants the run to end, before all sites were priced."""


@dataclass(frozen=True)
class Sweep:
    """One package for each of ``sites``: what they would do at the prices ``toll``.

    ``quantity`` is flat over all items of the country; ``worth`` (sites of the country) is
    what the package adds to the objective, ``use`` (rows × sites) what it takes of shared
    limits. ``value`` and ``bound`` are net of prices: of the package, and of any. ``points``
    are those of groups, by number.
    """

    sites: Ints
    toll: Toll
    quantity: Ints
    worth: Floats
    use: Floats
    value: Floats
    bound: Floats
    points: Mapping[int, Floats] = field(default_factory=dict)


@dataclass(frozen=True)
class Country:
    """All sites of a case, packed, and the limits that they share.

    Sites tied by links count as one: behind the single sites comes an entry for each of
    ``groups``; their own sites are empty.
    """

    blocks: Blocks
    shared: Shared
    groups: tuple[PartProgram, ...] = ()

    @property
    def sites(self) -> int:
        """Sites and groups."""
        return len(self.blocks.way_at) - 1

    @property
    def site_of_way(self) -> Ints:
        return np.repeat(np.arange(self.sites), np.diff(self.blocks.way_at))

    @property
    def site_of_item(self) -> Ints:
        return np.repeat(np.arange(self.sites), np.diff(self.blocks.item_at))

    def swept(
        self, sites: Ints, toll: Toll, guess: Ints, watch: Watch, *, nodes: int, close: float,
        gap: float,
    ) -> Sweep:  # fmt: skip
        """The best packages of ``sites`` at the prices ``toll``.

        ``guess`` are quantities to start from. A site's search ends after ``nodes`` nodes, or
        when value and bound are ``close``, a group's when they are within ``gap``. Raises
        ``OutOfTimeError``.
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
        alone = self.described(sites, toll, prices, quantity, bound, watch)
        return self._with_groups(alone, prices, watch, gap)

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

    def group_numbers(self, sites: Ints) -> Ints:
        """Which of ``sites`` are groups."""
        return sites[sites >= self.sites - len(self.groups)]

    def group(self, number: int) -> PartProgram:
        """The group that stands at ``number`` among the sites."""
        return self.groups[number - self.sites + len(self.groups)]

    def _with_groups(self, alone: Sweep, prices: Prices, watch: Watch, gap: float) -> Sweep:
        """The sweep with a package of each group, to a relative ``gap`` where that is found."""
        numbers = self.group_numbers(alone.sites)
        if len(numbers) == 0:
            return alone
        found: dict[int, Answer] = {}
        # Whoever asks for cancellation is heard in this thread only, never in a worker's.
        stop = threading.Event()
        quiet = Watch(watch.left, cancelled=stop.is_set)

        def work(part: Ints) -> None:
            for number in part.tolist():
                found[number] = self.group(number).best(
                    prices, float(prices.of_worth[number]), quiet,
                    gap=gap, nodes=_GROUP_NODES, seconds=quiet.left,
                )  # fmt: skip

        in_chunks(numbers, work, watch, chunk=1, stop=stop)
        worth, use, bound = alone.worth.copy(), alone.use.copy(), alone.bound.copy()
        points = {}
        for number in numbers.tolist():
            answer, group = found[number], self.group(number)
            bound[number] = answer.bound
            if answer.x is None:
                continue  # nothing but the bound: then the group has no package here
            points[number] = answer.x
            share = answer.x[group.share_column]
            worth[number] = share @ group.worth
            use[:, number] = group_use(self.shared, group, answer.x)
        value = worth * prices.of_worth - alone.toll.row @ use
        return replace(alone, worth=worth, use=use, value=value, bound=bound, points=points)

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


def group_use(shared: Shared, group: PartProgram, x: Floats) -> Floats:
    """What the point ``x`` of a group takes of each row."""
    quantity = x[group.action_column]
    spent = quantity * group.price
    use = np.zeros(shared.rows)
    use[: len(shared.paid)] = shared.paid[:, group.action] @ spent
    if shared.running >= 0:
        use[shared.running] = quantity @ shared.annual[group.action]
        use[shared.running] += x[group.share_column] @ group.running
    if shared.training >= 0:
        use[shared.training] = quantity @ shared.days[group.action]
    return use


def in_chunks(
    sites: Ints,
    work: Callable[[Ints], object],
    watch: Watch,
    *,
    chunk: int = _CHUNK,
    stop: threading.Event | None = None,
) -> None:
    """``work`` on all ``sites``, a ``chunk`` at a time; the caller's thread only waits.

    ``stop`` is set when time is up, for work that takes long. Raises ``OutOfTimeError`` then.
    """
    parts = [sites[low : low + chunk] for low in range(0, len(sites), chunk)]
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
                if stop is not None:
                    stop.set()
                raise OutOfTimeError
