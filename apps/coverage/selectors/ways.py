"""How long specimens are on their way between facilities: stated, or worked out."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db.models import F, QuerySet

from apps.facilities.choices import weekdays
from apps.facilities.models import Area, Facility, ReferralRoute, TravelTime
from planner.engine.access import worst_case_wait_hours

# Finer than a second; sums of decimal hours come out as they would by hand.
DECIMALS_OF_HOURS = 4
# Planning default, used where the hour of collection is known; otherwise any hour counts.
TAKEN_FROM_HOUR, TAKEN_TO_HOUR = 8.0, 16.0

Pair = tuple[str, str]


@dataclass(frozen=True)
class Way:
    """A route and its worst case in hours; ``None`` is not known.

    ``is_worked_out``: ``hours`` is wait + travel + queue. Otherwise it is what somebody
    stated as a whole. ``travel_is_measured``: by the table of travel times, not the route.
    """

    origin: str
    destination: str
    cost_per_specimen: float
    collection_weekdays: tuple[int, ...]
    wait_hours: float | None
    travel_hours: float | None
    travel_is_measured: bool
    queue_hours: float | None
    stated_hours: float | None

    @property
    def is_worked_out(self) -> bool:
        return self.wait_hours is not None and self.travel_hours is not None

    @property
    def hours(self) -> float | None:
        if self.wait_hours is None or self.travel_hours is None:
            return self.stated_hours
        total = self.wait_hours + self.travel_hours + (self.queue_hours or 0.0)
        return round(total, DECIMALS_OF_HOURS)


def ways_within(district: Area) -> list[Way]:
    """The routes that set out in ``district``, in order of code; two queries."""
    inside = {"origin__area__path__startswith": district.path}
    return _ways(ReferralRoute.objects.filter(**inside), TravelTime.objects.filter(**inside))


def ways_from(facility: Facility) -> list[Way]:
    """The routes that set out at ``facility``, in order of code; two queries."""
    return _ways(facility.routes_out.all(), facility.ways_out.all())


def specimen_hours(times: Iterable[tuple[str, str, str, float]]) -> dict[Pair, float]:
    """Travel time of specimens by origin and destination, from (origin, destination, season,
    hours): the quickest mode of each season, and of the seasons the slower, since a link must
    hold in both. A way that was measured in one season only has that season's time."""
    quickest: dict[Pair, dict[str, float]] = {}
    for origin, destination, season, hours in times:
        seasons = quickest.setdefault((origin, destination), {})
        seasons[season] = min(hours, seasons.get(season, hours))
    return {pair: max(seasons.values()) for pair, seasons in quickest.items()}


def _ways(routes: QuerySet[ReferralRoute], times: QuerySet[TravelTime]) -> list[Way]:
    measured = specimen_hours(
        times.order_by().values_list("origin__code", "destination__code", "season", "hours")
    )
    rows = routes.order_by("origin__code", "destination__code").values(
        "hours",
        "cost_per_specimen",
        "collection_weekdays",
        "collection_hour",
        "travel_hours",
        "queue_hours",
        from_code=F("origin__code"),
        to_code=F("destination__code"),
    )
    return [_way(row, measured) for row in rows]


@cache
def _wait_hours(days: str, collection_hour: float | None) -> float | None:
    """Longest wait for the courier; there are few sets of days, and many routes."""
    if not days:
        return None
    return worst_case_wait_hours(
        weekdays(days),
        pickup_hour=collection_hour,
        taken_from_hour=TAKEN_FROM_HOUR,
        taken_to_hour=TAKEN_TO_HOUR,
    )


def _way(row: dict[str, Any], measured: dict[Pair, float]) -> Way:
    days, stated = row["collection_weekdays"], row["travel_hours"]
    by_table = measured.get((row["from_code"], row["to_code"]))
    return Way(
        origin=row["from_code"],
        destination=row["to_code"],
        cost_per_specimen=float(row["cost_per_specimen"]),
        collection_weekdays=weekdays(days),
        wait_hours=_wait_hours(days, row["collection_hour"]),
        travel_hours=by_table if stated is None else stated,
        travel_is_measured=stated is None and by_table is not None,
        queue_hours=row["queue_hours"],
        stated_hours=row["hours"],
    )
