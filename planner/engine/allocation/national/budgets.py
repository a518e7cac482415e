"""One search for all budgets: packages and bounds of one serve the others."""

from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.national.country import country_of
from planner.engine.allocation.national.exact import SitePrograms
from planner.engine.allocation.national.prices import Search
from planner.engine.allocation.national.rounding import whole_plan
from planner.engine.allocation.national.sites import Country, OutOfTimeError
from planner.engine.allocation.national.split import today_of
from planner.engine.allocation.progress import Watch

_FREE_SITES = 40
_SECONDS_OF_ROUNDING = 5.0


@dataclass
class BudgetSearch:
    """The search, what is done today, and the capital beyond which nothing more is bought."""

    country: Country
    search: Search
    watch: Watch
    gap: float
    today: float
    case_capital: float
    useful: float = field(default=0.0)

    def value_at(self, capital: float) -> float | None:
        """The worth of a plan with this capital; ``None`` if time is up first."""
        self.search.move_to(capital)
        try:
            self.search.close_in(0.3 * self.gap)
        except OutOfTimeError:
            return None
        assert self.search.priced is not None
        chosen = whole_plan(
            self.search.shared, self.search.packages, self.search.priced, self.watch,
            free=_FREE_SITES, gap=0.2 * self.gap,
            seconds=min(_SECONDS_OF_ROUNDING, self.watch.left),
        )  # fmt: skip
        if chosen is None:
            return None
        value = max(self.today, chosen.worth)
        self.watch.saw(value, self.search.bound)
        return value

    def bound_at(self, capital: float) -> float:
        """No plan with this capital is worth more."""
        return min(line.at(capital) for line in self.search.lines)


def budget_search(instance: Instance, watch: Watch, *, gap: float) -> BudgetSearch | None:
    """A search over budgets; ``None`` where sites cannot be priced one by one, or no time."""
    most = float((instance.places.most * instance.places.price).sum())
    endless = replace(instance, bounds=replace(instance.bounds, capital=most))
    country = country_of(endless, at_each_site=watch.tick)
    if country is None:
        return None
    sites = np.arange(country.sites)
    programs = SitePrograms(endless)
    search = Search(country, country.shared, sites, watch, programs, gap)
    try:
        watch.enter("today")
        today = today_of(country, watch)
        watch.enter("bound")
        search.move_to(instance.bounds.capital)
        search.begin(None)
        search.move_to(most)
        search.close_in(0.3 * gap)
    except OutOfTimeError:
        return None
    assert search.priced is not None
    spent: Floats = search.packages.use @ search.priced.share
    money = len(country.shared.paid)
    beyond_earmarks = spent[:money] - (country.shared.limit[:money] - most)
    found = BudgetSearch(country, search, watch, gap, today, instance.bounds.capital)
    found.useful = max(0.0, float(beyond_earmarks.max()))
    return found
