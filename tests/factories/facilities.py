"""Areas, facilities and routes: each valid, with the emptiest facts."""

import datetime as dt
from typing import Any

from apps.facilities.models import Area, Facility, Observation, ReferralRoute, TravelTime


def make_district(code: str = "north", **values: Any) -> Area:
    return Area.objects.create(**{"code": code, "name": code.title(), "kind": "district", **values})


def make_block(code: str, district: Area, **values: Any) -> Area:
    fixed = {"code": code, "name": code.title(), "kind": "block", "parent": district}
    return Area.objects.create(**{**fixed, **values})


def make_facility(code: str, area: Area, **values: Any) -> Facility:
    """An open health post at 0, 0 with nobody in its catchment and no hours for testing."""
    place = {"code": code, "name": code.title(), "area": area, "latitude": 0, "longitude": 0}
    facts = {"level": 1, "population": 0, "testing_hours_per_year": 0}
    return Facility.objects.create(**{**place, **facts, **values})


def make_route(origin: Facility, destination: Facility, **values: Any) -> ReferralRoute:
    fixed = {"origin": origin, "destination": destination, "hours": 0, "cost_per_specimen": 0}
    return ReferralRoute.objects.create(**{**fixed, **values})


def make_travel_time(origin: Facility, destination: Facility, **values: Any) -> TravelTime:
    """An hour by an unpaved road in the dry season."""
    way = {"origin": origin, "destination": destination, "mode": "unpaved", "season": "dry"}
    return TravelTime.objects.create(**{**way, "hours": 1, "source": "a driver", **values})


def make_observation(facility: Facility, **values: Any) -> Observation:
    """The population of ``facility``, as reported in January 2026."""
    fixed = {"object_type": "facilities.facility", "object_key": facility.code}
    seen = {"facts": {"population": 0}, "observed_on": dt.date(2026, 1, 15), "basis": "reported"}
    return Observation.objects.create(facility=facility, **{**fixed, **seen, **values})
