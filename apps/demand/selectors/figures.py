"""The three estimates of many facilities and tests at once: rows into arrays and through."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from apps.catalogue.models import LabTest
from apps.demand.models import ConsumptionRecord, MorbidityRate, ServiceStatistic
from apps.facilities.models import Facility
from planner.engine import demand

OLDEST_YEARS = 10
"""Older records say nothing of what is asked for now."""

Floats = NDArray[np.float64]
Rows = dict[tuple[int, int], Any]


@dataclass(frozen=True)
class Assumptions:
    """What no record says: planning defaults, unverified, shown with every figure.

    ``growth_per_year`` of demand from the year of a record to ``year``. The shares are of
    tests for people: units that controls, repeats and waste take besides.
    """

    year: int
    growth_per_year: float = 0.02
    quality_control_share: float = 0.05
    repeat_share: float = 0.03
    wastage_share: float = 0.05

    def growth(self, years: Floats) -> Floats:
        """Growth in all from the ``years`` of records."""
        return (1 + self.growth_per_year) ** (self.year - years) - 1


@dataclass(frozen=True)
class Figures:
    """Facilities × tests × the three bases, and the row behind each, by positions."""

    estimates: Floats
    holds: NDArray[np.bool_]
    rows: tuple[Rows, Rows, Rows]


def figures_of(
    facilities: Sequence[Facility],
    tests: Sequence[LabTest],
    people: Floats,
    assumptions: Assumptions,
) -> Figures:
    """All three estimates, by the latest records of the last ten years; three queries.

    The years are counted to the one planned for, which is among them.
    """
    at = {each.pk: position for position, each in enumerate(facilities)}
    of = {each.pk: position for position, each in enumerate(tests)}

    def latest(records: Iterable[Any]) -> Rows:
        return {(at[each.facility_id], of[each.test_id]): each for each in records}

    years = assumptions.year - OLDEST_YEARS, assumptions.year
    recorded = {"facility__in": at, "test__in": of, "year__range": years}
    shape = len(facilities), len(tests)
    statistics = latest(ServiceStatistic.objects.filter(**recorded).order_by("year"))
    consumption = latest(ConsumptionRecord.objects.filter(**recorded).order_by("year"))
    rates = _rates(facilities, tests)
    found = (
        _by_statistics(statistics, shape, assumptions),
        _by_consumption(consumption, shape, assumptions),
        _by_morbidity(rates, shape, people),
    )
    return Figures(
        estimates=np.stack([estimates for estimates, _ in found], axis=-1),
        holds=np.stack([holds for _, holds in found], axis=-1),
        rows=(statistics, consumption, rates),
    )


def _by_statistics(rows: Rows, shape: tuple[int, int], assumptions: Assumptions):
    recorded, complete, without, years = _columns(
        rows, shape, ("recorded_tests", "completeness_share", "days_without", "year")
    )
    estimates = demand.from_service_statistics(
        recorded, complete, without, assumptions.growth(years)
    )
    return estimates, demand.service_statistics_hold(complete, without)


def _by_consumption(rows: Rows, shape: tuple[int, int], assumptions: Assumptions):
    used, months, out, per_unit, years = _columns(
        rows,
        shape,
        ("units_used", "period_months", "days_out_of_stock", "tests_per_unit", "year"),
    )
    estimates = demand.from_consumption(
        demand.monthly_consumption(used, months, out),
        per_unit,
        assumptions.quality_control_share,
        assumptions.repeat_share,
        assumptions.wastage_share,
    )
    return estimates * (1 + assumptions.growth(years)), demand.consumption_holds(months, out)


def _by_morbidity(rows: Rows, shape: tuple[int, int], people: Floats):
    names = (
        "episodes_per_person_year", "care_seeking_share", "eligible_share", "tests_per_episode",
    )  # fmt: skip
    estimates = demand.from_morbidity(people, *_columns(rows, shape, names))
    return estimates, np.ones(shape, dtype=bool)


def _columns(rows: Rows, shape: tuple[int, int], names: Sequence[str]) -> Iterable[Floats]:
    """One array for each field, NaN where there is no row."""
    values = np.full((len(names), *shape), np.nan)
    if rows:
        where = tuple(np.array(list(rows)).T)
        for column, name in zip(values, names, strict=True):
            column[where] = [getattr(row, name) for row in rows.values()]
    return values


def _rates(facilities: Sequence[Facility], tests: Sequence[LabTest]) -> Rows:
    """The rate that holds at each facility for each test; the more particular come later."""
    of = {each.pk: position for position, each in enumerate(tests)}
    found: Rows = {}
    rates = MorbidityRate.objects.filter(test__in=of).select_related("area", "source")
    for rate in sorted(rates, key=_particularity):
        for position, facility in enumerate(facilities):
            if _holds_at(rate, facility):
                found[position, of[rate.test_id]] = rate
    return found


def _particularity(rate: MorbidityRate) -> tuple[int, bool]:
    return len(rate.area.path) if rate.area else 0, rate.level is not None


def _holds_at(rate: MorbidityRate, facility: Facility) -> bool:
    at_level = rate.level is None or rate.level == facility.level
    return at_level and (rate.area is None or facility.area.path.startswith(rate.area.path))
