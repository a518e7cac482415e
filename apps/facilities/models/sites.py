from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from apps.facilities.choices import Basis, Level, Observer, PowerSource
from apps.facilities.models.amenities import Amenities
from apps.facilities.models.areas import Area
from apps.facilities.querysets import FacilityQuerySet


class Facility(Amenities):
    """A health facility. A blank number is unknown, which is not zero."""

    code = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="facilities")
    level = models.PositiveSmallIntegerField(choices=Level)
    latitude = models.FloatField(validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude = models.FloatField(validators=[MinValueValidator(-180), MaxValueValidator(180)])
    population = models.PositiveIntegerField(
        null=True, blank=True, help_text="people in the catchment"
    )
    testing_hours_per_year = models.PositiveIntegerField(
        null=True, blank=True, help_text="staff hours a year that can go to testing"
    )
    power_source = models.CharField(max_length=20, choices=PowerSource, default=PowerSource.UNKNOWN)
    power_hours_per_day = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(24)]
    )
    closed_on = models.DateField(null=True, blank=True)
    observed_on = models.DateField(null=True, blank=True, help_text="when these facts were seen")
    basis = models.CharField(
        max_length=10, choices=Basis, blank=True, help_text="blank: nobody wrote it down"
    )
    observer = models.CharField(max_length=20, choices=Observer, blank=True)

    objects = FacilityQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "facilities"

    def __str__(self) -> str:
        return self.name
