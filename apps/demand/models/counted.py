from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from apps.catalogue.models import SHARE, LabTest
from apps.demand.choices import DemandBasis, Origin
from apps.demand.querysets import FacilityRowQuerySet
from apps.facilities.models import Facility

# Beyond these a figure is a slip; ``planner.engine.demand`` refuses what is beyond them too.
TESTS_A_YEAR = [MinValueValidator(0), MaxValueValidator(1_000_000_000)]
UNITS = [MinValueValidator(0), MaxValueValidator(1_000_000_000)]
LONGEST_YEAR_DAYS = 366
LONGEST_PERIOD_MONTHS = 60
DAYS_IN_LONGEST_MONTH = 31


class FacilityRow(models.Model):
    """Something counted of one test at one facility in a year."""

    facility = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="%(class)ss")
    test = models.ForeignKey(LabTest, on_delete=models.PROTECT, related_name="%(class)ss")
    year = models.PositiveSmallIntegerField()

    objects = FacilityRowQuerySet.as_manager()

    class Meta:
        abstract = True


class Demand(FacilityRow):
    """Tests a year that the people of a facility's catchment need; no row: none expected.

    The figure that a planning case uses. It is adopted from an estimate or typed; the
    estimates never change it by themselves.
    """

    tests_per_year = models.FloatField(validators=TESTS_A_YEAR)
    basis = models.CharField(max_length=20, choices=DemandBasis)

    class Meta:
        ordering = ["facility__code", "test__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "test"], name="a_facility_has_one_demand_for_a_test"
            )
        ]

    def __str__(self) -> str:
        return f"{self.test} at {self.facility}: {self.tests_per_year:g} a year"


class ServiceStatistic(FacilityRow):
    """Tests that a facility recorded in a year, and how far that count may be trusted."""

    recorded_tests = models.FloatField(validators=TESTS_A_YEAR)
    completeness_share = models.FloatField(
        validators=SHARE, help_text="share of the year's reports that came in, 0 to 1"
    )
    days_without = models.PositiveSmallIntegerField(
        validators=[MaxValueValidator(LONGEST_YEAR_DAYS)],
        help_text="days of the year on which the test could not be done",
    )
    origin = models.CharField(max_length=10, choices=Origin)

    class Meta:
        ordering = ["facility__code", "test__code", "-year"]
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "test", "year"], name="a_test_is_counted_once_a_year"
            )
        ]

    def __str__(self) -> str:
        return f"{self.test} at {self.facility}, {self.year}: {self.recorded_tests:g} recorded"


class ConsumptionRecord(FacilityRow):
    """Units of a consumable that a test used up; ``year`` is that of the end of the period.

    The consumable must be one that every test of the kind uses up.
    """

    consumable = models.CharField(max_length=120, help_text="as on the stock card")
    period_months = models.FloatField(
        validators=[MinValueValidator(0.5), MaxValueValidator(LONGEST_PERIOD_MONTHS)]
    )
    units_used = models.FloatField(validators=UNITS)
    days_out_of_stock = models.PositiveSmallIntegerField(help_text="within the period")
    tests_per_unit = models.FloatField(
        validators=[MinValueValidator(0.001), MaxValueValidator(1_000_000)],
        help_text="tests that one unit is enough for",
    )
    origin = models.CharField(max_length=10, choices=Origin)

    class Meta:
        ordering = ["facility__code", "test__code", "-year"]
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "test", "year"], name="a_test_has_one_consumption_a_year"
            ),
            models.CheckConstraint(
                condition=models.Q(
                    days_out_of_stock__lte=models.F("period_months") * DAYS_IN_LONGEST_MONTH
                ),
                name="stock_is_out_no_longer_than_the_period",
                violation_error_message="There are more days out of stock than in the period.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.consumable} for {self.test} at {self.facility}, {self.year}"
