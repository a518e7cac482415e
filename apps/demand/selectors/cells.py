"""One facility and one test: what is adopted there, and what the estimates say."""

from dataclasses import dataclass
from typing import Any

from apps.catalogue.models import LabTest
from apps.demand.models import Demand
from apps.demand.selectors.figures import Assumptions
from apps.facilities.models import Facility
from planner.engine import demand


@dataclass(frozen=True)
class Figure:
    """One estimate. ``basis``: how it was found; ``tests_per_year``: ``None`` where the row says
    too little; ``holds``: good enough to be preferred; ``row``: what it was worked out from.
    """

    basis: str
    tests_per_year: float | None
    holds: bool
    row: Any


@dataclass(frozen=True)
class Estimate:
    """One facility and one test: what is adopted, and what the estimates say.

    ``people`` who ask for it here, ``None`` if unknown. ``figures`` in order of preference,
    those for which there is a row. ``chosen``: the one to go by, ``None`` where none says
    anything; ``is_weak``: it is not good enough, but there is no better. ``spread``: the
    largest over the smallest figure, ``None`` where fewer than two are known.
    """

    facility: Facility
    test: LabTest
    adopted: Demand | None
    people: float | None
    figures: tuple[Figure, ...]
    chosen: Figure | None
    is_weak: bool
    spread: float | None
    assumptions: Assumptions

    def figure(self, basis: str) -> Figure | None:
        """The figure found by ``basis``, if there is a row for it."""
        return next((each for each in self.figures if each.basis == basis), None)

    @property
    def disagrees(self) -> bool:
        """The figures are more than a factor of two apart."""
        return self.spread is not None and bool(demand.disagrees(self.spread))

    @property
    def of_adopted(self) -> float | None:
        """The figure to go by as a multiple of the adopted one; ``None`` without both."""
        if self.chosen is None or self.adopted is None:
            return None
        return float(demand.ratio(self.chosen.tests_per_year, self.adopted.tests_per_year))

    @property
    def is_off(self) -> bool:
        """The adopted figure is more than a factor of two from the one to go by."""
        return self.of_adopted is not None and bool(demand.disagrees(self.of_adopted))

    @property
    def is_flagged(self) -> bool:
        return self.disagrees or self.is_off

    @property
    def at_stake(self) -> float:
        """Tests a year between the largest and the smallest of all that is said."""
        said = [each.tests_per_year for each in self.figures if each.tests_per_year is not None]
        said += [self.adopted.tests_per_year] if self.adopted else []
        return max(said) - min(said) if said else 0.0
