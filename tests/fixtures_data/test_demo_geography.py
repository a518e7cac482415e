"""The district's map: outlines by RFC 7946, and facilities that lie where they should.

Shapely, a general-purpose geometry library, is the judge.
"""

import itertools
import json
import math

import pytest
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from tests.fixtures_data.tables import FIXTURES, demo, outlines

DISTRICT = "sorrelwater"
KM_PER_DEGREE = 111.2


def polygons() -> dict[str, Polygon]:
    return {code: Polygon(ring) for code, ring in outlines().items()}


def blocks() -> dict[str, Polygon]:
    return {code: polygon for code, polygon in polygons().items() if code != DISTRICT}


def points() -> dict[str, Point]:
    return {
        row["code"]: Point(float(row["longitude"]), float(row["latitude"]))
        for row in demo("facilities")
    }


def test_the_collection_holds_one_polygon_for_each_area_and_no_reference_system():
    """RFC 7946: a FeatureCollection; ``crs`` is not used any more (section 4)."""
    found = json.loads((FIXTURES / "demo" / "outlines.geojson").read_text(encoding="utf-8"))

    assert (found["type"], "crs" in found) == ("FeatureCollection", False)
    assert {feature["geometry"]["type"] for feature in found["features"]} == {"Polygon"}
    assert list(outlines()) == [row["code"] for row in demo("areas")]


@pytest.mark.parametrize("area", outlines())
def test_an_outline_is_closed_counter_clockwise_and_does_not_cross_itself(area):
    """RFC 7946, section 3.1.6: exterior rings are counter-clockwise and closed."""
    ring = outlines()[area]

    assert ring[0] == ring[-1]
    assert len(ring) >= 4
    assert Polygon(ring).exterior.is_ccw
    assert Polygon(ring).is_valid


def test_the_blocks_tile_the_district():
    whole = polygons()[DISTRICT]

    assert unary_union(list(blocks().values())).symmetric_difference(whole).area < 1e-12
    overlaps = [
        one.intersection(other).area for one, other in itertools.combinations(blocks().values(), 2)
    ]
    assert max(overlaps) < 1e-12


def test_the_district_is_about_ninety_kilometres_across_and_out_at_sea():
    west, south, east, north = polygons()[DISTRICT].bounds

    assert 80 < (east - west) * KM_PER_DEGREE < 100
    assert 80 < (north - south) * KM_PER_DEGREE < 100
    assert (west, south, east, north) == (-20.0, 1.0, -19.2, 1.78)


def test_every_facility_lies_in_its_area():
    inside = polygons()

    assert [
        row["code"]
        for row in demo("facilities")
        if not inside[row["area"]].contains(points()[row["code"]])
    ] == []


def test_only_the_district_hospital_hangs_on_the_district_itself():
    assert [row["code"] for row in demo("facilities") if row["area"] == DISTRICT] == [
        "dh-sorrelwater"
    ]


def test_no_two_facilities_are_within_two_kilometres():
    nearest = min(
        math.dist(one.coords[0], other.coords[0]) * KM_PER_DEGREE
        for one, other in itertools.combinations(points().values(), 2)
    )

    assert nearest > 2
