"""When a case is planned by sites, and how what comes of it is handed on."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.features import Feature, features_of
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.national.country import country_of, quantities_of, shares_of
from planner.engine.allocation.national.sites import Country, OutOfTimeError
from planner.engine.allocation.national.split import Split, split_plan, today_of
from planner.engine.allocation.outcome import planned
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import TightModel
from planner.engine.case import Case, Result

SPLIT_FROM = 30
"""Sites; below, one program for all is as fast and its tree closes any gap."""

LINKED_FROM = 400
"""Sites, where links tie some together: groups are asked again and again, which takes long."""

WHOLE_UP_TO = 300
"""Sites; above, one program for all does not better in any time that people wait."""

# What the arrays of the groundwork already say of each site, and prices need not know.
_PRICED: frozenset[Feature] = frozenset({"max_units", "uptime", "supervised_share"})


def may_split(case: Case) -> bool:
    """Whether ``case`` is large enough, and asks nothing that sites cannot answer alone."""
    least = LINKED_FROM if case.links else SPLIT_FROM
    return len(case.sites) >= least and features_of(case) <= _PRICED


@dataclass(frozen=True)
class BySites:
    """What planning by sites has come to; ``before`` is the objective without any action."""

    case: Case
    instance: Instance
    country: Country
    found: Split
    before: float
    gap: float

    @property
    def is_final(self) -> bool:
        """There is a plan, and either the gap is closed or no other way would do better."""
        has_plan = self.found.share is not None
        return has_plan and (self.found.closed or self.country.sites > WHOLE_UP_TO)

    def result(self, solver: str, seconds: float) -> Result:
        """The plan as a result."""
        quantities, shares = self._matrices()
        return planned(
            self.case,
            self.instance,
            quantities,
            np.zeros(len(self.instance.moves.most), dtype=np.int64),
            shares,
            bound=self.found.bound,
            asked_gap=self.gap,
            before=self.before,
            solver=f"{solver}, site by site",
            seconds=seconds,
        )

    def point(self, model: TightModel) -> Answer | None:
        """The plan as a point of the whole program, with the bound; ``None`` without a plan."""
        if self.found.share is None:
            return None
        quantities, shares = self._matrices()
        x = np.zeros(len(model.program.gain))
        there = model.columns.action >= 0
        x[model.columns.action[there]] = quantities[there]
        there = model.columns.share >= 0
        x[model.columns.share[there]] = shares[there]
        return Answer("stopped", x, model.program.value(x), self.found.bound)

    def _matrices(self) -> tuple[Ints, Floats]:
        """The plan as sites × actions and arcs × methods."""
        found = self.found
        assert found.quantity is not None
        assert found.share is not None
        return (
            quantities_of(self.instance, self.country, found.quantity, found.points),
            shares_of(self.instance, self.country, found.share, found.points),
        )


def planned_by_sites(
    case: Case,
    instance: Instance,
    watch: Watch,
    gap: float,
    *,
    at_each_site: Callable[[], None],
) -> BySites | None:
    """The plan that prices lead to; ``None`` where sites cannot be priced one by one.

    ``at_each_site`` is called now and then while sites are prepared, and may raise.
    """
    watch.enter("preparing")
    country = country_of(instance, at_each_site=at_each_site)
    if country is None:
        return None
    try:
        watch.enter("today")
        before = today_of(country, watch)
    except OutOfTimeError:
        return None
    return BySites(
        case, instance, country, split_plan(instance, country, watch, gap=gap), before, gap
    )
