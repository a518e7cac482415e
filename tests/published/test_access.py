"""Distances against published geodesics and a second library, shares against a worked example."""

import numpy as np
import pandas as pd
import pytest
from geographiclib.geodesic import Geodesic

from planner.engine.access import (
    Pace,
    estimated_hours,
    geodesic_km,
    haversine_km,
    reach,
    weighted_coverage,
)
from planner.engine.access.distance import WGS84

# From, to, kilometres, source.
GEODESICS = [
    # Wellington to Salamanca: the introduction of GeographicLib's documentation (seen), 1 mm.
    ((-41.32, 174.81), (40.96, -5.50), 19959.679267, 1e-6),
    # JFK to LHR: the same documentation's shell example (from memory), 1 m.
    ((40.6, -73.8), (51.6, -0.5), 5551.759, 1e-3),
    # One degree of the equator: a π / 180 with a = 6378.137 km (WGS 84), 1 µm.
    ((0.0, 0.0), (0.0, 1.0), 6378.137 * np.pi / 180, 1e-9),
    # A quarter of a meridian of WGS 84: 10001.965729 km (published constant), 1 mm.
    ((0.0, 0.0), (90.0, 0.0), 10001.965729, 1e-6),
]


@pytest.mark.parametrize(("one", "other", "km", "tolerance"), GEODESICS)
def test_a_geodesic_is_as_long_as_published(one, other, km, tolerance):
    assert geodesic_km(*one, *other) == pytest.approx(km, abs=tolerance)
    assert geodesic_km(*other, *one) == pytest.approx(km, abs=tolerance)


def test_twenty_thousand_kilometres_from_perth_end_where_published():
    """GeographicLib's documentation (seen): from 32.06S 115.74E at azimuth 225° one comes to
    32.11195529 N 63.95925278 W, 1e-8 degrees. The ellipsoid is the one that distances use."""
    east, north, _ = WGS84.fwd(115.74, -32.06, 225, 20_000_000)

    assert (north, east) == pytest.approx((32.11195529, -63.95925278), abs=1e-8)


def test_beyond_the_middle_of_the_earth_the_shortest_way_goes_round_the_other_side():
    """The way back from there is shorter than the 20 000 km gone. Reference: geographiclib."""
    expected = Geodesic.WGS84.Inverse(-32.06, 115.74, 32.11195529, -63.95925278)["s12"] / 1000

    found = geodesic_km(-32.06, 115.74, 32.11195529, -63.95925278)

    assert found == pytest.approx(expected, abs=1e-8)
    assert found < 19_991


def test_a_thousand_geodesics_agree_with_a_second_library():
    """Reference: geographiclib; places all over the earth, seed 11, a hundredth of a mm."""
    draw = np.random.default_rng(11)
    north, to_north = draw.uniform(-90, 90, (2, 1000))
    east, to_east = draw.uniform(-180, 180, (2, 1000))
    expected = [
        Geodesic.WGS84.Inverse(*ends)["s12"] / 1000
        for ends in zip(north, east, to_north, to_east, strict=True)
    ]

    assert geodesic_km(north, east, to_north, to_east) == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((0.0, 179.9), (0.0, -179.9)),
        ((10.0, 180.0), (10.0, -180.0)),
        ((90.0, 0.0), (90.0, 137.0)),
        ((-90.0, 12.0), (-89.0, -168.0)),
        ((0.0, 0.0), (0.5, 179.7)),
        ((30.0, 40.0), (30.0, 40.0)),
    ],
    ids=["date line", "its two names", "pole", "over the pole", "nearly opposite", "no way"],
)
def test_date_line_poles_and_opposite_places_agree_with_a_second_library(one, other):
    """Reference: geographiclib, a hundredth of a millimetre."""
    expected = Geodesic.WGS84.Inverse(*one, *other)["s12"] / 1000

    assert geodesic_km(*one, *other) == pytest.approx(expected, abs=1e-8)


def test_the_great_circle_from_nashville_to_los_angeles():
    """A code example in many languages (from memory, computed again): 2887.2600 km on a
    sphere of 6372.8 km, 1e-4."""
    assert haversine_km(36.12, -86.67, 33.94, -118.40, radius_km=6372.8) == pytest.approx(
        2887.2600, abs=1e-4
    )


def test_a_great_circle_is_within_6_in_1000_of_the_geodesic():
    """The flattening of WGS 84 is 1/298.257, and the mean radius lies between the axes."""
    draw = np.random.default_rng(12)
    ends = (
        draw.uniform(-90, 90, 5000),
        draw.uniform(-180, 180, 5000),
        draw.uniform(-90, 90, 5000),
        draw.uniform(-180, 180, 5000),
    )

    assert haversine_km(*ends) == pytest.approx(geodesic_km(*ends), rel=6e-3)


def test_coverage_is_weighted_by_people():
    """12 000, 8000, 30 000, 5000 people with access 1, 0, 1, 0: 42/55 = 0.7636 (worked
    example, computed; no published one was found); pandas gives the same. Unweighted: 0.5."""
    table = pd.DataFrame({"people": [12_000, 8000, 30_000, 5000], "access": [1, 0, 1, 0]})
    by_pandas = (table["people"] * table["access"]).sum() / table["people"].sum()

    found = weighted_coverage(table["people"], table["access"])

    assert found.share == pytest.approx(0.7636, abs=1e-4)
    assert found.share == pytest.approx(by_pandas, rel=1e-12)
    assert weighted_coverage([1, 1, 1, 1], table["access"]).share == pytest.approx(0.5)


def test_an_hour_on_foot_is_five_kilometres_of_path():
    """5 km/h (common planning figure, from memory): 5 km of path are 5/1.4 of straight line."""
    assert estimated_hours(5 / 1.4, Pace("walk")) == pytest.approx(1.0)
    assert estimated_hours(5.0, Pace("walk", detour_index=1.0)) == pytest.approx(1.0)


def test_four_sites_on_the_equator_are_counted_by_hand():
    """A degree of the equator is 111.3195 km. Sites at 0, 0.04, 0.2 and 0.9 degrees east of a
    capable one: 0, 4.45, 22.3 and 100.2 km; by 30 km/h and an index of 1.4 these take 0, 0.21,
    1.04 and 4.68 hours."""
    found = reach([0, 0, 0, 0], [0, 0.04, 0.2, 0.9], [10, 20, 40, 80], [True, False, False, False])

    assert found.straight_km == pytest.approx([0, 4.4528, 22.2639, 100.1875], abs=1e-4)
    assert found.hours == pytest.approx([0, 0.2078, 1.0390, 4.6754], abs=1e-4)
    assert (found.on_site, found.within_km) == (10, 30)
    assert (found.within_hours, found.beyond) == ((30, 70), 80)
