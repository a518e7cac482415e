from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from apps.facilities.choices import Season, TravelMode, weekdays
from apps.facilities.models.sites import Facility
from apps.facilities.querysets import TravelTimeQuerySet


class ReferralRoute(models.Model):
    """Specimens travel from one facility to another: worst-case hours, cost of one specimen.

    ``hours`` is the stated worst case. Where the days of collection and the time on the way
    are known, the worst case is worked out from these instead, since people can check them.
    """

    origin = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="routes_out")
    destination = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="routes_in")
    hours = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="longest wait for the courier, the way, and the queue; blank: not stated",
    )
    cost_per_specimen = models.DecimalField(max_digits=12, decimal_places=4)
    collection_weekdays = models.CharField(
        max_length=30,
        blank=True,
        validators=[weekdays],
        help_text="days on which the courier collects, as mon;thu; blank: not known",
    )
    collection_hour = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(24)],
        help_text="hour of the day after which a specimen waits for the next collection",
    )
    travel_hours = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="time on the way; blank: as the table of travel times says",
    )
    queue_hours = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="longest wait at the destination before the test is done; blank: none counted",
    )

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
                condition=Q(cost_per_specimen__gte=0)
                & (Q(hours__gte=0) | Q(hours__isnull=True))
                & (Q(travel_hours__gte=0) | Q(travel_hours__isnull=True))
                & (Q(queue_hours__gte=0) | Q(queue_hours__isnull=True)),
                name="a_route_takes_and_costs_no_less_than_nothing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.origin} to {self.destination}"


class TravelTime(models.Model):
    """How long the way between two facilities takes, measured or reported by somebody.

    It holds in the direction given. No row: the time is estimated from the distance where
    people go, and unknown where specimens do.
    """

    origin = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="ways_out")
    destination = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="ways_in")
    mode = models.CharField(max_length=10, choices=TravelMode)
    season = models.CharField(max_length=10, choices=Season)
    hours = models.FloatField(
        validators=[MinValueValidator(0), MaxValueValidator(336)], help_text="one way, door to door"
    )
    source = models.CharField(max_length=200, help_text="who measured or reported it, and how")
    measured_on = models.DateField(null=True, blank=True)

    objects = TravelTimeQuerySet.as_manager()

    class Meta:
        ordering = ["origin__code", "destination__code", "mode", "season"]
        constraints = [
            models.UniqueConstraint(
                fields=["origin", "destination", "mode", "season"],
                name="one_travel_time_for_a_way_a_mode_and_a_season",
            ),
            models.CheckConstraint(
                condition=~Q(origin=models.F("destination")), name="a_way_joins_two_facilities"
            ),
            models.CheckConstraint(
                condition=Q(hours__gte=0), name="a_way_takes_no_less_than_nothing"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.origin} to {self.destination}, {self.get_season_display().lower()}"
