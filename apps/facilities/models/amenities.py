from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from apps.facilities.choices import Biosafety, Connectivity, Water

NOT_NEGATIVE = (MinValueValidator(0),)
HOURS_OF_A_DAY = (MinValueValidator(0), MaxValueValidator(24))


class Amenities(models.Model):
    """What a site offers to devices and people besides its staff. Blank is not known."""

    open_days_per_week = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(7)]
    )
    open_hours_per_day = models.FloatField(
        null=True, blank=True, validators=HOURS_OF_A_DAY, help_text="on a day that it is open"
    )
    power_available_w = models.PositiveIntegerField(
        null=True, blank=True, help_text="watts left for devices of the laboratory"
    )
    water_source = models.CharField(max_length=20, choices=Water, blank=True)
    water_hours_per_day = models.FloatField(null=True, blank=True, validators=HOURS_OF_A_DAY)
    cold_storage_litres = models.FloatField(
        null=True, blank=True, validators=NOT_NEGATIVE, help_text="at 2 to 8 degrees C; 0: none"
    )
    cold_holdover_hours = models.FloatField(
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
        help_text="hours that the cold storage stays below 10 degrees C without power",
    )
    connectivity = models.CharField(max_length=20, choices=Connectivity, blank=True)
    biosafety = models.CharField(max_length=20, choices=Biosafety, blank=True)

    class Meta:
        abstract = True
