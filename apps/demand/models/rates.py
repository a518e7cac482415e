from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from apps.catalogue.models import SHARE, LabTest, Sourced
from apps.facilities.choices import Level
from apps.facilities.models import Area, Facility

# Beyond this a rate is a slip, such as one for 1000 people.
A_PERSON = [MinValueValidator(0), MaxValueValidator(100)]


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
    episodes_per_person_year = models.FloatField(validators=A_PERSON)
    care_seeking_share = models.FloatField(
        validators=SHARE, help_text="share of episodes for which care is sought, 0 to 1"
    )
    eligible_share = models.FloatField(
        validators=SHARE, help_text="share of those seen who should be tested, 0 to 1"
    )
    tests_per_episode = models.FloatField(validators=A_PERSON)

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
