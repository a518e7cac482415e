from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from apps.catalogue.models import SHARE, LabTest, Sourced
from apps.demand.choices import DemandBasis, Origin
from apps.demand.querysets import FacilityRowQuerySet
from apps.facilities.choices import Level
from apps.facilities.models import Area, Facility

NOT_NEGATIVE = [MinValueValidator(0)]
LONGEST_YEAR_DAYS = 366
LONGEST_PERIOD_MONTHS = 60


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

    tests_per_year = models.FloatField(validators=NOT_NEGATIVE)
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

    recorded_tests = models.FloatField(validators=NOT_NEGATIVE)
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
    units_used = models.FloatField(validators=NOT_NEGATIVE)
    days_out_of_stock = models.PositiveSmallIntegerField(help_text="within the period")
    tests_per_unit = models.FloatField(
        validators=[MinValueValidator(0.001)], help_text="tests that one unit is enough for"
    )
    origin = models.CharField(max_length=10, choices=Origin)

    class Meta:
        ordering = ["facility__code", "test__code", "-year"]
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "test", "year"], name="a_test_has_one_consumption_a_year"
            )
        ]

    def __str__(self) -> str:
        return f"{self.consumable} for {self.test} at {self.facility}, {self.year}"


class MorbidityRate(Sourced):
    """How many tests the people of a catchment need, from how often they fall ill.

    It holds everywhere, or at one level of care, or in one area and those below it; where
    several fit, that of the smallest area counts, and within it that of the level.
    """

    code = models.SlugField(max_length=80, unique=True)
    test = models.ForeignKey(LabTest, on_delete=models.CASCADE, related_name="morbidity_rates")
    level = models.PositiveSmallIntegerField(choices=Level, null=True, blank=True)
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.CASCADE, related_name="morbidity_rates"
    )
    episodes_per_person_year = models.FloatField(validators=NOT_NEGATIVE)
    care_seeking_share = models.FloatField(
        validators=SHARE, help_text="share of episodes for which care is sought, 0 to 1"
    )
    eligible_share = models.FloatField(
        validators=SHARE, help_text="share of those seen who should be tested, 0 to 1"
    )
    tests_per_episode = models.FloatField(validators=NOT_NEGATIVE)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(
                fields=["test"],
                condition=Q(level__isnull=True, area__isnull=True),
                name="a_test_has_one_rate_for_everywhere",
            ),
            models.UniqueConstraint(
                fields=["test", "level"],
                condition=Q(area__isnull=True),
                name="a_test_has_one_rate_for_a_level",
            ),
            models.UniqueConstraint(
                fields=["test", "area"],
                condition=Q(level__isnull=True),
                name="a_test_has_one_rate_for_an_area",
            ),
            models.UniqueConstraint(
                fields=["test", "level", "area"], name="a_test_has_one_rate_for_a_level_in_an_area"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class ExpectedPrevalence(Sourced):
    """Share of the people tested who have what the test looks for, with the ends of a range.

    It holds at one facility, in one area and those below it, or everywhere; where several
    fit, the nearest counts. No row: unknown, and nothing that rests on it is computed.
    """

    code = models.SlugField(max_length=80, unique=True)
    test = models.ForeignKey(LabTest, on_delete=models.CASCADE, related_name="prevalences")
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.CASCADE, related_name="prevalences"
    )
    facility = models.ForeignKey(
        Facility, null=True, blank=True, on_delete=models.CASCADE, related_name="prevalences"
    )
    share = models.FloatField(validators=SHARE, help_text="of those tested, 0 to 1")
    low = models.FloatField(null=True, blank=True, validators=SHARE)
    high = models.FloatField(null=True, blank=True, validators=SHARE)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(area=None) | Q(facility=None),
                name="a_prevalence_holds_at_a_facility_or_in_an_area",
                violation_error_message="Name an area or a facility, not both.",
            ),
            models.CheckConstraint(
                condition=Q(low=None, high=None)
                | Q(
                    low__isnull=False,
                    high__isnull=False,
                    low__lte=models.F("share"),
                    high__gte=models.F("share"),
                ),
                name="a_prevalence_lies_in_its_range",
                violation_error_message="Give both ends of the range, with the share between them.",
            ),
            models.UniqueConstraint(
                fields=["test"],
                condition=Q(area=None, facility=None),
                name="a_test_has_one_prevalence_for_everywhere",
            ),
            models.UniqueConstraint(
                fields=["test", "area"], name="a_test_has_one_prevalence_in_an_area"
            ),
            models.UniqueConstraint(
                fields=["test", "facility"], name="a_test_has_one_prevalence_at_a_facility"
            ),
        ]

    def __str__(self) -> str:
        return self.code
