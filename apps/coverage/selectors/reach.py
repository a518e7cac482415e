"""How far people are from a site that runs a test."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import QuerySet

from apps.catalogue.models import LabTest
from apps.coverage.choices import State
from apps.coverage.models import Assessment, Finding
from apps.facilities.models import Area, Facility, TravelTime
from apps.facilities.selectors import facilities_for
from planner.engine.access import Pace, Reach, TravelTable, looks_swapped, reach

PLACE = ("latitude", "longitude")


@dataclass(frozen=True)
class ReachOfTest:
    """How far the people of a district go for one test, and by what assumptions.

    ``measured_ways``: of ``ways``, those to the nearest site whose time was measured.
    ``exchanged``: names of sites whose latitude and longitude look exchanged.
    """

    test: LabTest
    pace: Pace
    reach: Reach
    sites_able: int
    ways: int
    measured_ways: int
    exchanged: tuple[str, ...]


def reach_of_test(
    user: Any, district: Area, test: LabTest, assessment: Assessment, pace: Pace
) -> ReachOfTest:
    """People of the sites of ``district`` that ``user`` may see, by their way to ``test``.

    A site outside what ``user`` may see can still be the nearest that runs it. A constant
    number of queries.
    """
    sites = list(open_in(district).values("pk", "name", *PLACE, "population"))
    position = {site["pk"]: at for at, site in enumerate(sites)}
    seen = set(facilities_for(user).within(district.path).order_by().values_list("pk", flat=True))
    able = set(running(assessment, [test.pk]).get(test.pk, ()))
    capable = [site["pk"] in able for site in sites]
    places = [[site[name] for site in sites] for name in PLACE]
    found = reach(
        *places,
        [_people(site, seen) for site in sites],
        capable,
        pace=pace,
        table=_table(district, pace, position),
    )
    away = [site["pk"] in seen and not runs for site, runs in zip(sites, capable, strict=True)]
    flagged = looks_swapped(*places)
    return ReachOfTest(
        test,
        pace,
        found,
        sites_able=sum(capable),
        ways=sum(away),
        measured_ways=int((found.is_measured & away).sum()),
        exchanged=tuple(site["name"] for site, odd in zip(sites, flagged, strict=True) if odd),
    )


def open_in(district: Area) -> QuerySet[Facility]:
    """The open facilities of ``district``, whoever may see them."""
    return Facility.objects.within(district.path).open().order_by("code")


def _people(site: Mapping[str, Any], seen: set[int]) -> float:
    """People of a site out of sight are nobody's business here, and not an unknown."""
    if site["pk"] not in seen:
        return 0.0
    return np.nan if site["population"] is None else float(site["population"])


def running(assessment: Assessment, tests: Sequence[int]) -> dict[int, list[int]]:
    """Test id to the ids of the facilities that run it."""
    found: dict[int, list[int]] = {}
    for test, facility in Finding.objects.filter(
        assessment=assessment, state=State.RUNS, test__in=tests
    ).values_list("test", "facility"):
        found.setdefault(test, []).append(facility)
    return found


def _table(district: Area, pace: Pace, position: Mapping[int, int]) -> TravelTable:
    rows = TravelTime.objects.within(district.path).filter(mode=pace.mode, season=pace.season)
    kept = [
        (position[origin], position[to], hours)
        for origin, to, hours in rows.order_by().values_list("origin", "destination", "hours")
        if origin in position and to in position
    ]
    origin, to, hours = zip(*kept, strict=True) if kept else ((), (), ())
    return TravelTable.of(origin, to, hours)
