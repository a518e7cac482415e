"""The whole country by decomposition: prices, packages, a whole plan, a proven bound."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.national.exact import SitePrograms
from planner.engine.allocation.national.prices import Search
from planner.engine.allocation.national.rounding import Chosen, whole_plan
from planner.engine.allocation.national.shared import Toll, prices_of
from planner.engine.allocation.national.sites import Country, OutOfTimeError, group_use
from planner.engine.allocation.national.volumes import (
    Volumes,
    money_for_tests,
    reaches_floors,
    service_prices,
)
from planner.engine.allocation.progress import Watch, gap_between

_SAMPLED_FROM = 2500  # sites; below, all sites are asked from the start
_SAMPLE = 1000
_SAMPLE_GAP = 1e-3
_FREE_SITES = (60, 300, 900)
_SECONDS_OF_ROUNDING = 20.0


@dataclass(frozen=True)
class Split:
    """The best plan that was found: flat quantities by item and shares by way, points of groups,
    and the worth of all; what no plan exceeds. ``None`` where no plan was found.
    """

    quantity: Ints | None
    share: Floats | None
    bound: float
    closed: bool
    value: float = -np.inf
    points: Mapping[int, Floats] = field(default_factory=dict)


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
            watch.saw(None if best.share is None else best.value, search.bound)
            if best.closed or not (moving or number == 0):
                break
    except OutOfTimeError:
        pass
    return replace(best, bound=max(search.bound, best.value))


def today_of(country: Country, watch: Watch) -> float:
    """What the sites can do with what they have."""
    nothing = np.zeros(len(country.blocks.action), dtype=np.int64)
    money = money_for_tests(country, nothing)
    found, _ = Volumes(country, nothing, money, watch, groups=True).best()
    parts = [np.zeros(len(group.program.gain)) for group in country.groups]
    for group, part in zip(country.groups, parts, strict=True):
        part[group.share_column] = group.worth
    return float(found @ np.concatenate([country.blocks.worth, *parts]))


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
    found = _settled(country, search, chosen, watch)
    if found.value < best.value:
        found = replace(best, bound=search.bound)
    return replace(found, closed=gap_between(found.value, search.bound) <= gap)


def _settled(country: Country, search: Search, chosen: Chosen, watch: Watch) -> Split:
    """The chosen packages, volumes of single sites at their best, nothing idle."""
    packages = search.packages
    quantity = np.zeros(len(country.blocks.action), dtype=np.int64)
    own = np.zeros(len(country.blocks.method))
    elsewhere, points = np.zeros(country.sites), {}
    found_by = np.where(chosen.package >= 0, packages.sweep[chosen.package], -1)
    for number in np.unique(found_by[found_by >= 0]):
        sweep, sites = packages.sweeps[number], np.flatnonzero(found_by == number)
        inside = np.isin(country.site_of_item, sites)
        quantity[inside] = sweep.quantity[inside]
        own += country.served(sites, prices_of(country.shared, sweep.toll), quantity, watch)
        for group in country.group_numbers(sites).tolist():
            if group in sweep.points:
                points[group], elsewhere[group] = sweep.points[group], sweep.worth[group]
    best = _best_volumes(country, quantity, own, points, elsewhere, watch)
    value = float(best[1] @ country.blocks.worth + elsewhere.sum())
    return Split(*best, search.bound, closed=False, value=value, points=points)


def _best_volumes(
    country: Country, quantity: Ints, own: Floats, points: Mapping[int, Floats],
    elsewhere: Floats, watch: Watch,
) -> tuple[Ints, Floats]:  # fmt: skip
    """Quantities and shares of single sites beside the ``points`` of groups, worth the most."""
    shared = country.shared
    spent = sum(
        group_use(shared, country.group(number), x)[shared.running] for number, x in points.items()
    )
    money = money_for_tests(country, quantity) - float(spent)
    share, price = Volumes(country, quantity, money, watch, groups=False).best()
    if not reaches_floors(country, share, elsewhere):
        return quantity, own
    trimmed = country.trimmed(service_prices(shared, price), quantity, watch)
    money = money_for_tests(country, trimmed) - float(spent)
    lean, _ = Volumes(country, trimmed, money, watch, groups=False).best()
    poorer = lean @ country.blocks.worth < share @ country.blocks.worth
    if poorer or not reaches_floors(country, lean, elsewhere):
        return quantity, share
    return trimmed, lean
