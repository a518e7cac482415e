"""The whole country by decomposition: prices, packages, a whole plan, a proven bound."""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.national.exact import SitePrograms
from planner.engine.allocation.national.packages import Packages
from planner.engine.allocation.national.prices import Search
from planner.engine.allocation.national.rounding import Chosen, whole_plan
from planner.engine.allocation.national.shared import Toll, prices_of
from planner.engine.allocation.national.sites import Country, OutOfTimeError
from planner.engine.allocation.national.volumes import Volumes, reaches_floors, service_prices
from planner.engine.allocation.progress import Watch, gap_between

_SAMPLED_FROM = 2500  # sites; below, all sites are asked from the start
_SAMPLE = 1000
_SAMPLE_GAP = 1e-3
_FREE_SITES = (60, 300, 900)
_SECONDS_OF_ROUNDING = 20.0


@dataclass(frozen=True)
class Split:
    """The best plan that was found: flat quantities by item and shares by way; what no plan
    exceeds. ``None`` where no plan was found that keeps the floors.
    """

    quantity: Ints | None
    share: Floats | None
    bound: float
    closed: bool

    def value(self, country: Country) -> float:
        """The objective of the plan; minus infinity if there is none."""
        return -np.inf if self.share is None else float(self.share @ country.blocks.worth)


def split_plan(instance: Instance, country: Country, watch: Watch, *, gap: float) -> Split:
    """The best plan that prices and packages lead to, until ``gap`` is proven or time is up."""
    search = Search(
        country, country.shared, np.arange(country.sites), watch, SitePrograms(instance), gap
    )
    best = Split(None, None, np.inf, closed=False)
    try:
        watch.enter("bound")
        search.begin(_sampled_prices(country, watch))
        for number, free in enumerate(_FREE_SITES):
            watch.enter("bound")
            moving = search.close_in((0.3, 0.1, 0.0)[number] * gap)
            watch.saw(None, search.bound)
            watch.enter("first plans" if number == 0 else "search")
            best = _better(country, search, best, watch, free=free, gap=gap)
            watch.saw(None if best.share is None else best.value(country), search.bound)
            if best.closed or not (moving or number == 0):
                break
    except OutOfTimeError:
        pass
    bound = max(search.bound, best.value(country))
    return Split(best.quantity, best.share, bound, best.closed)


def today_of(country: Country, watch: Watch) -> Floats:
    """The best shares, by way, with what the sites have."""
    nothing = np.zeros(len(country.blocks.action), dtype=np.int64)
    return Volumes(country, nothing, watch).best()[0]


def _sampled_prices(country: Country, watch: Watch) -> Toll | None:
    """Prices that a part of the areas would have if it had its part of the limits."""
    if country.sites < _SAMPLED_FROM:
        return None
    areas = len(country.shared.floor)
    step = max(1, country.sites // _SAMPLE)
    inside: Bools = np.zeros(areas, dtype=bool)
    inside[::step] = True
    sites = np.flatnonzero(inside[country.shared.area_of])
    if len(sites) < _SAMPLE // 4:  # few large areas
        sites, inside = np.arange(0, country.sites, step), np.zeros(areas, dtype=bool)
    part = country.shared.for_part(len(sites) / country.sites, inside)
    search = Search(country, part, sites, watch)
    search.begin(None)
    search.close_in(_SAMPLE_GAP)
    return search.best


def _better(
    country: Country, search: Search, best: Split, watch: Watch, *, free: int, gap: float
) -> Split:
    """The better one of ``best`` and a plan from the packages that are there now."""
    assert search.priced is not None
    chosen = whole_plan(
        country.shared, search.packages, search.priced, watch,
        free=free, gap=0.1 * gap, seconds=min(_SECONDS_OF_ROUNDING, watch.left),
    )  # fmt: skip
    if chosen is None:
        return best
    quantity, share = _settled(country, search.packages, chosen, watch)
    found = Split(quantity, share, search.bound, closed=False)
    if found.value(country) < best.value(country):
        found = Split(best.quantity, best.share, search.bound, closed=False)
    closed = gap_between(found.value(country), search.bound) <= gap
    return Split(found.quantity, found.share, search.bound, closed)


def _settled(
    country: Country, packages: Packages, chosen: Chosen, watch: Watch
) -> tuple[Ints, Floats]:
    """Quantities and shares of the chosen packages, volumes at their best, nothing idle."""
    quantity = np.zeros(len(country.blocks.action), dtype=np.int64)
    own = np.zeros(len(country.blocks.method))
    found_by = np.where(chosen.package >= 0, packages.sweep[chosen.package], -1)
    for number in np.unique(found_by[found_by >= 0]):
        sweep, sites = packages.sweeps[number], np.flatnonzero(found_by == number)
        inside = np.isin(country.site_of_item, sites)
        quantity[inside] = sweep.quantity[inside]
        own += country.served(sites, prices_of(country.shared, sweep.toll), quantity, watch)
    share, price = Volumes(country, quantity, watch).best()
    if not reaches_floors(country, share):
        return quantity, own
    trimmed = country.trimmed(service_prices(country.shared, price), quantity, watch)
    lean, _ = Volumes(country, trimmed, watch).best()
    if lean @ country.blocks.worth < share @ country.blocks.worth or not reaches_floors(
        country, lean
    ):
        return quantity, share
    return trimmed, lean
