"""What was counted and how often people fall ill: complete, and from the year 2025."""

from typing import Any

from apps.catalogue.models import LabTest
from apps.demand.models import (
    ConsumptionRecord,
    ExpectedPrevalence,
    MorbidityRate,
    ServiceStatistic,
)
from apps.facilities.models import Facility
from tests.factories.catalogue import sourced


def make_statistic(
    facility: Facility, test: LabTest, recorded_tests: float, **values: Any
) -> ServiceStatistic:
    fixed = {"year": 2025, "completeness_share": 1, "days_without": 0, "origin": "reported"}
    return ServiceStatistic.objects.create(
        **{"facility": facility, "test": test, "recorded_tests": recorded_tests, **fixed, **values}
    )


def make_consumption(
    facility: Facility, test: LabTest, units_used: float, **values: Any
) -> ConsumptionRecord:
    """A year without a day out of stock; one unit is enough for one test."""
    fixed = {"year": 2025, "consumable": "strips", "period_months": 12, "origin": "reported"}
    stock = {"units_used": units_used, "days_out_of_stock": 0, "tests_per_unit": 1}
    return ConsumptionRecord.objects.create(
        **{"facility": facility, "test": test, **stock, **fixed, **values}
    )


def make_rate(test: LabTest, episodes_per_person_year: float, **values: Any) -> MorbidityRate:
    """Everybody who falls ill comes, is eligible, and is tested once."""
    shares = {"care_seeking_share": 1, "eligible_share": 1, "tests_per_episode": 1}
    fixed = {"code": f"{test.code}-{MorbidityRate.objects.count() + 1}", "test": test}
    rate = {"episodes_per_person_year": episodes_per_person_year, **shares, **sourced()}
    return MorbidityRate.objects.create(**{**fixed, **rate, **values})


def make_prevalence(test: LabTest, share: float, **values: Any) -> ExpectedPrevalence:
    """Everywhere, without a range."""
    code = f"{test.code}-{ExpectedPrevalence.objects.count() + 1}"
    fixed = {"code": code, "test": test, "share": share, **sourced()}
    return ExpectedPrevalence.objects.create(**{**fixed, **values})
