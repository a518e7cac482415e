"""Methods of the catalogue arranged for their pages: listed, compared, one in all its parts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from apps.web.figures import share_text
from apps.web.limits import Control, Limit, controls, limits
from apps.web.sourced import Ask, asks
from apps.web.studies import StudyRow, study_rows
from apps.web.suits import Suits, accepted
from planner.engine.costing import cost_per_test, equivalent_annual_cost

VOLUMES = (100, 500, 2_500, 10_000)


@dataclass(frozen=True)
class Compared:
    """A method beside others of its test; ``sites`` is how many of a district can run it."""

    method: Any
    sites: int | None = None

    @property
    def minutes(self) -> float:
        """Hands-on minutes of one test in a full batch."""
        method = self.method
        return method.minutes_per_batch / method.batch_size + method.minutes_per_sample

    @property
    def sensitivity(self) -> str:
        return share_text(self.method.sensitivity)

    @property
    def specificity(self) -> str:
        """Blank where it is not known."""
        return "" if self.method.specificity is None else share_text(self.method.specificity)


@dataclass(frozen=True)
class NeedRow:
    """A device that a method needs: what is asked of it, and which models suit."""

    need: Any
    asks: tuple[Ask, ...]
    models: Suits
    life_years: tuple[float, float] | None

    @property
    def cheapest(self) -> Any | None:
        """The cheapest model a year that suits and whose evidence is accepted."""
        counted = [each for each in self.models.met if accepted(each.model.evidence)]
        return min(counted, key=lambda each: (each.model.price, each.model.code), default=None)

    @property
    def yearly_cost(self) -> float | None:
        """The cheapest model's price spread over its life, and its upkeep; ``None``: unknown."""
        if self.cheapest is None or self.life_years is None:
            return None
        model, years = self.cheapest.model, sum(self.life_years) / 2
        return float(equivalent_annual_cost(model.price, years)) + model.annual_cost


@dataclass(frozen=True)
class CostRow:
    tests_per_year: int
    cost: float


@dataclass(frozen=True)
class MethodSheet:
    """All that the page of a method says besides the rows themselves."""

    shown: Compared
    needs: tuple[NeedRow, ...]
    limits: tuple[Limit, ...]
    costs: tuple[CostRow, ...]
    studies: tuple[StudyRow, ...]
    controls: tuple[Control, ...]


def compared(methods: Iterable[Any], runs: Mapping[str, int] | None = None) -> list[Compared]:
    """``methods`` of one test, in their order; ``runs``: code to number of sites."""
    return [Compared(each, None if runs is None else runs.get(each.code, 0)) for each in methods]


def by_programme(methods: Iterable[Any]) -> list[tuple[Any, list[tuple[Any, list[Any]]]]]:
    """Programmes by name, each with its tests by name, each with its methods."""

    def place(method: Any) -> tuple[str, str]:
        return method.test.programme.name, method.test.name

    ordered = sorted(methods, key=lambda method: (*place(method), method.code))
    return [
        (programme, [(test, list(ways)) for test, ways in groupby(of, lambda each: each.test)])
        for programme, of in groupby(ordered, lambda each: each.test.programme)
    ]


def method_sheet(
    page: Any, held: Iterable[Any], lives_years: Mapping[str, tuple[float, float]]
) -> MethodSheet:
    """``page`` of ``catalogue.selectors.method_page`` with the models held against its needs.

    ``lives_years``: device class to the least and greatest usual life.
    """
    against = tuple(held)
    needs = tuple(
        NeedRow(
            need,
            asks(need.requirements.all()),
            Suits.sort(each for each in against if each.position == position),
            lives_years.get(need.device_class.code),
        )
        for position, need in enumerate(page.method.needs.all(), start=1)
    )
    return MethodSheet(
        shown=Compared(page.method),
        needs=needs,
        limits=limits(page.limits),
        costs=_costs(page.method, needs),
        studies=study_rows(page.method.studies.all()),
        controls=controls(page.method.controls.all()),
    )


def _costs(method: Any, needs: Iterable[NeedRow]) -> tuple[CostRow, ...]:
    """Devices and supplies of one test at several volumes; nothing where a device has no cost."""
    yearly = [need.yearly_cost for need in needs]
    if any(cost is None for cost in yearly):
        return ()
    fixed = sum(cost for cost in yearly if cost is not None)
    supplies = float(method.consumable_cost)
    return tuple(
        CostRow(volume, float(cost_per_test(fixed, supplies, volume))) for volume in VOLUMES
    )
