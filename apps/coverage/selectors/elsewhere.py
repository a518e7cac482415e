"""Where the people and the specimens of a site go for what it does not do itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from apps.catalogue.models import LabTest
from apps.coverage.choices import State
from apps.coverage.models import Assessment, Finding
from apps.coverage.selectors.reach import open_in, running
from apps.coverage.selectors.ways import Way
from apps.facilities.models import Area, Facility
from planner.engine.access import Pace, geodesic_km, travel

LACKING = (State.REFERRED, State.BLOCKED, State.UNKNOWN)


@dataclass(frozen=True)
class Journey:
    """From the site to another: kilometres in a straight line, hours in each season."""

    site: Facility
    straight_km: float
    dry_hours: float
    wet_hours: float
    dry_is_measured: bool
    wet_is_measured: bool


@dataclass(frozen=True)
class Lacking:
    """A test that the site lacks, and how its specimens could travel; ``way`` is the quickest
    route to a site that runs it, ``None`` where there is none.

    ``spare_hours``: what the specimen still keeps on arrival; ``None`` where it may not
    travel or the hours of the route are not known.
    """

    test: LabTest
    way: Way | None
    goes_to: Facility | None

    @property
    def spare_hours(self) -> float | None:
        keeps = self.test.max_transport_hours
        if keeps is None or self.way is None or self.way.hours is None:
            return None
        return round(keeps - self.way.hours, 4)

    @property
    def in_time(self) -> bool:
        return self.spare_hours is not None and self.spare_hours >= 0


@dataclass(frozen=True)
class Elsewhere:
    """Tests that the site lacks and that run nearest at the same other site; ``journey`` is
    ``None`` for tests that run nowhere in the district."""

    journey: Journey | None
    tests: tuple[Lacking, ...]


def reach_from(
    facility: Facility, district: Area, assessment: Assessment, ways: Sequence[Way]
) -> list[Elsewhere]:
    """Where the people and the specimens of ``facility`` go for what it lacks; four queries.

    ``ways``: its routes. Grouped by the site nearest in time, by vehicle on unpaved roads in
    the dry season; nearest first, and last the tests that run nowhere.
    """
    tests = {
        finding.test_id: finding.test
        for finding in Finding.objects.filter(
            assessment=assessment, facility=facility, state__in=LACKING
        ).select_related("test")
    }
    able_at = running(assessment, list(tests))
    sites = {site.pk: site for site in open_in(district)}
    by_code = {site.code: site for site in sites.values()}
    journeys = _journeys(facility, sites)
    groups: dict[int | None, list[Lacking]] = {}
    for pk, test in sorted(tests.items(), key=lambda each: each[1].name):
        able = [site for site in able_at.get(pk, ()) if site in journeys]
        nearest = min(able, key=lambda site: (journeys[site].dry_hours, site), default=None)
        way = _quickest(ways, {sites[site].code for site in able})
        lacking = Lacking(test, way, by_code[way.destination] if way else None)
        groups.setdefault(nearest, []).append(lacking)
    found = [
        Elsewhere(journeys[site] if site is not None else None, tuple(lacking))
        for site, lacking in groups.items()
    ]
    return sorted(found, key=lambda each: each.journey.dry_hours if each.journey else np.inf)


def _journeys(facility: Facility, sites: Mapping[int, Facility]) -> dict[int, Journey]:
    """By vehicle on unpaved roads to every other site; measured times go before estimates."""
    others = [site for pk, site in sites.items() if pk != facility.pk]
    if not others:
        return {}
    km = geodesic_km(
        facility.latitude,
        facility.longitude,
        [site.latitude for site in others],
        [site.longitude for site in others],
    )
    measured: dict[str, dict[int, float]] = {"dry": {}, "wet": {}}
    times = facility.ways_out.filter(mode="unpaved")
    for to, season, hours in times.values_list("destination", "season", "hours"):
        measured[season][to] = hours
    dry, wet = (
        travel(
            km,
            Pace("unpaved", season),
            [measured[season].get(site.pk, np.nan) for site in others],
        )
        for season in ("dry", "wet")
    )
    return {
        site.pk: Journey(
            site,
            float(km[at]),
            float(dry.hours[at]),
            float(wet.hours[at]),
            bool(dry.is_measured[at]),
            bool(wet.is_measured[at]),
        )
        for at, site in enumerate(others)
    }


def _quickest(ways: Sequence[Way], able: set[str]) -> Way | None:
    """The quickest route to one of ``able``; one whose hours are not known comes last."""
    usable = [way for way in ways if way.destination in able]
    return min(
        usable,
        key=lambda way: (way.hours is None, way.hours or 0.0, way.destination),
        default=None,
    )
