from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from apps.facilities.choices import AreaKind, Level, PowerSource
from apps.facilities.querysets import AreaQuerySet, FacilityQuerySet


class Area(models.Model):
    """A district, or a block of one. ``path`` lists the codes from the root, as ``a/b/``."""

    code = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=20, choices=AreaKind)
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="children"
    )
    path = models.CharField(max_length=300, unique=True, editable=False)
    outline = models.JSONField(
        null=True, blank=True, help_text="GeoJSON Polygon (RFC 7946): longitude before latitude"
    )
    currency = models.CharField(max_length=3, default="USD", help_text="ISO 4217 code")

    objects = AreaQuerySet.as_manager()

    class Meta:
        ordering = ["path"]

    def __str__(self) -> str:
        return self.name

    def save(self, **kwargs) -> None:
        self.path = f"{self.parent.path if self.parent else ''}{self.code}/"
        super().save(**kwargs)


class Stewardship(models.Model):
    """Somebody answers for an area: what lies in it and below is theirs to see."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="stewardships"
    )
    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="stewardships")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "area"], name="a_user_stewards_an_area_once")
        ]

    def __str__(self) -> str:
        return f"{self.user} for {self.area}"


class Facility(models.Model):
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

    objects = FacilityQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "facilities"

    def __str__(self) -> str:
        return self.name


class ReferralRoute(models.Model):
    """Specimens travel from one facility to another: worst-case hours, cost of one specimen."""

    origin = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="routes_out")
    destination = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="routes_in")
    hours = models.FloatField(
        validators=[MinValueValidator(0)], help_text="longest wait for the courier, and the way"
    )
    cost_per_specimen = models.DecimalField(max_digits=12, decimal_places=4)

    class Meta:
        ordering = ["origin__code", "destination__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["origin", "destination"], name="one_route_between_two_facilities"
            ),
            models.CheckConstraint(
                condition=~Q(origin=models.F("destination")), name="a_route_joins_two_facilities"
            ),
            models.CheckConstraint(
                condition=Q(hours__gte=0) & Q(cost_per_specimen__gte=0),
                name="a_route_takes_and_costs_no_less_than_nothing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.origin} to {self.destination}"
