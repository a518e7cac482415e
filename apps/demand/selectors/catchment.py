"""Whose people ask for a test where: those of lower facilities go to where it is expected."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from apps.catalogue.models import LabTest
from apps.facilities.models import Area, Facility, ReferralRoute

TRAVELS_FROM_HOURS = 8
"""Below a working day a specimen cannot be counted on to arrive: the patient goes instead.
A planning default."""


def people_asking(
    facilities: Sequence[Facility], tests: Sequence[LabTest], district: Area
) -> NDArray[np.float64]:
    """People who ask for each test at each facility, facilities × tests; one query.

    At a facility below the level at which a test is expected its people go, along the routes,
    to the first facility of that level, unless the specimen keeps long enough to travel for
    them. Where no route leads on they stay. NaN where the population of any of those who ask
    is not known.
    """
    onward = _onward(facilities, district)
    people = np.zeros((len(facilities), len(tests)))
    for level, columns in _columns(tests).items():
        asking = dict.fromkeys((each.pk for each in facilities), 0.0)
        for facility in facilities:
            known = np.nan if facility.population is None else facility.population
            asking[_destination(facility, level, onward).pk] += known
        people[:, columns] = np.array([asking[each.pk] for each in facilities])[:, None]
    return people


def _columns(tests: Sequence[LabTest]) -> dict[int, list[int]]:
    """Level to the tests for which people go there; 0 for those whose specimen travels."""
    columns: defaultdict[int, list[int]] = defaultdict(list)
    for column, test in enumerate(tests):
        travels = (test.max_transport_hours or 0) >= TRAVELS_FROM_HOURS
        columns[0 if travels else test.lowest_level].append(column)
    return columns


def _onward(facilities: Sequence[Facility], district: Area) -> Mapping[int, list[Facility]]:
    """Primary key to the facilities of higher levels that a route leads to, quickest first."""
    by_key = {each.pk: each for each in facilities}
    onward: defaultdict[int, list[Facility]] = defaultdict(list)
    routes = ReferralRoute.objects.filter(origin__area__path__startswith=district.path)
    for origin, destination in routes.order_by("hours", "destination__code").values_list(
        "origin", "destination"
    ):
        one, other = by_key.get(origin), by_key.get(destination)
        if one and other and other.level > one.level:
            onward[origin].append(other)
    return onward


def _destination(facility: Facility, level: int, onward: Mapping[int, list[Facility]]) -> Facility:
    """Where people go for a test expected from ``level`` on: the lowest such, else nearer to it."""
    at = facility
    while at.level < level and onward.get(at.pk):
        reached = onward[at.pk]
        enough = [each for each in reached if each.level >= level]
        at = min(enough, key=_level) if enough else max(reached, key=_level)
    return at


def _level(facility: Facility) -> int:
    return facility.level
