"""Points and outlines against RFC 7946, and against shapely where it says the same.

Examples of appendix A are from memory of the published text; shapely 2 (GEOS) is a
general-purpose library of plane geometry.
"""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from apps.imports.adapters.geometry import GeometryError, outline, point
from apps.imports.adapters.rings import signed_area

# RFC 7946, appendix A.1, A.3 and A.6.
POINT = {"type": "Point", "coordinates": [100.0, 0.0]}
WITHOUT_HOLES = {
    "type": "Polygon",
    "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]],
}
WITH_HOLE = {
    "type": "Polygon",
    "coordinates": [
        [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
        [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]],
    ],
}
MULTIPOLYGON = {
    "type": "MultiPolygon",
    "coordinates": [
        [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
        [
            [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
            [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]],
        ],
    ],
}
# Section 3.1.9: one line of land on both sides of longitude 180, cut as it asks.
CUT_AT_180 = {
    "type": "MultiPolygon",
    "coordinates": [
        [[[180.0, 40.0], [180.0, 50.0], [170.0, 50.0], [170.0, 40.0], [180.0, 40.0]]],
        [[[-170.0, 40.0], [-170.0, 50.0], [-180.0, 50.0], [-180.0, 40.0], [-170.0, 40.0]]],
    ],
}
LINE = {"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}
TURNED = ("rings that went the wrong way round were turned",)
DEGREES = st.floats(-9, 9).map(lambda value: round(value, 3))


def backwards(geometry):
    return {**geometry, "coordinates": [ring[::-1] for ring in geometry["coordinates"]]}


def test_the_point_of_the_standard_is_longitude_before_latitude():
    assert point(POINT) == (100.0, 0.0)


@pytest.mark.parametrize("example", [WITHOUT_HOLES, WITH_HOLE, MULTIPOLYGON, CUT_AT_180])
def test_outlines_of_the_standard_are_kept_as_they_stand(example):
    assert outline(example).as_json == example
    assert outline(example).repaired == ()


@pytest.mark.parametrize("example", [WITHOUT_HOLES, WITH_HOLE])
def test_a_ring_that_goes_the_wrong_way_round_is_turned_and_told_of(example):
    found = outline(backwards(example))

    [outer, *holes] = found.polygons[0]
    assert found.repaired == TURNED
    assert signed_area(outer) > 0
    assert all(signed_area(hole) < 0 for hole in holes)
    assert shapely.from_geojson(str(found.as_json).replace("'", '"')).equals(
        shapely.from_geojson(str(example).replace("'", '"'))
    )


def test_a_land_of_one_part_is_a_polygon_however_it_came():
    alone = {"type": "MultiPolygon", "coordinates": [WITH_HOLE["coordinates"]]}

    assert outline(alone).as_json == WITH_HOLE


def test_decimals_beyond_the_seventh_are_dropped_and_told_of():
    ring = [[100.12345678, 0.0], [101.0, 0.0], [101.0, 1.0], [100.12345678, 0.0]]
    kept = [[100.1234568, 0.0], [101.0, 0.0], [101.0, 1.0], [100.1234568, 0.0]]

    found = outline({"type": "Polygon", "coordinates": [ring]})

    assert found.as_json["coordinates"] == [kept]
    assert found.repaired == ("decimals beyond the 7th were dropped",)


def test_seven_decimals_are_kept():
    assert point({"type": "Point", "coordinates": [100.1234567, -0.0000001]}) == (
        100.1234567, -0.0000001,
    )  # fmt: skip


def test_a_height_is_dropped_and_told_of():
    ring = [[100.0, 0.0, 5.0], [101.0, 0.0], [101.0, 1.0], [100.0, 0.0, 5.0]]

    assert outline({"type": "Polygon", "coordinates": [ring]}).repaired == ("heights were dropped",)


@pytest.mark.parametrize(
    ("geometry", "problem"),
    [
        (None, "is empty, expected a Polygon or a MultiPolygon. Draw the land that the area"
               " covers."),
        (LINE, "is LineString, expected a Polygon or a MultiPolygon. Draw the land that the area"
               " covers."),
        ({"type": "Polygon", "coordinates": []},
         "has a part without rings. Remove the part, or draw it."),
        ({"type": "MultiPolygon"},
         "has no coordinates. Give a list of rings, the outer one first."),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [0, 0]]]},
         "has a ring of 3 positions that does not close. A ring has at least four positions, and"
         " the last repeats the first."),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 1]]]},
         "has a ring of 4 positions that does not close. A ring has at least four positions, and"
         " the last repeats the first."),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [2, 2], [0, 0]]]},
         "has a ring without any land in it. Draw it again."),
        ({"type": "Polygon", "coordinates": [[[170, 0], [-170, 0], [-170, 5], [170, 0]]]},
         "has a border that crosses longitude 180. Cut the outline at longitude 180 into a"
         " MultiPolygon, as RFC 7946, section 3.1.9, asks."),
        ({"type": "Polygon", "coordinates": [[[0, 91], [1, 0], [1, 1], [0, 91]]]},
         "has a position that is on no map. Write degrees, longitude (-180 to 180) before"
         " latitude (-90 to 90)."),
        ({"type": "Polygon", "coordinates": [[["0", 0], [1, 0], [1, 1], ["0", 0]]]},
         "has something that is no position. Write [longitude, latitude]."),
    ],
)  # fmt: skip
def test_what_cannot_be_an_outline_is_refused_with_what_to_do(geometry, problem):
    with pytest.raises(GeometryError) as refusal:
        outline(geometry)

    assert str(refusal.value) == problem


@pytest.mark.parametrize("place", [[180.0, 90.0], [-180.0, -90.0]])
def test_the_ends_of_the_map_are_on_it(place):
    assert point({"type": "Point", "coordinates": place}) == tuple(place)


@pytest.mark.parametrize("place", [[180.1, 0], [0, -90.1], [1], ["1", 2], [True, 2], None])
def test_what_is_no_position_is_no_point(place):
    with pytest.raises(GeometryError):
        point({"type": "Point", "coordinates": place})


@pytest.mark.parametrize(
    ("place", "inside"),
    [
        ((100.1, 0.1), True),  # on the land
        ((100.5, 0.5), False),  # in the hole
        ((100.2, 0.5), True),  # on the border of the hole
        ((100.0, 0.5), True),  # on the outer border
        ((100.0, 0.0), True),  # at a corner
        ((99.9999999, 0.5), False),  # a centimetre off
        ((101.5, 0.0), False),  # in line with a border, beyond its end
    ],
)
def test_a_place_lies_on_the_land_on_its_border_or_outside(place, inside):
    assert outline(WITH_HOLE).holds(*place) is inside
    assert (
        shapely.from_geojson(str(WITH_HOLE).replace("'", '"')).covers(shapely.Point(place))
        is inside
    )


@given(
    corners=st.lists(st.tuples(DEGREES, DEGREES), min_size=3, max_size=8, unique=True),
    place=st.tuples(DEGREES, DEGREES),
)
def test_what_lies_inside_is_what_shapely_says(corners, place):
    star = shapely.Polygon(corners)
    if not star.is_valid or not star.area or shapely.Point(place).distance(star.exterior) < 1e-9:
        return
    ring = [list(corner) for corner in [*corners, corners[0]]]

    found = outline({"type": "Polygon", "coordinates": [ring]})

    assert found.holds(*place) is bool(star.covers(shapely.Point(place)))
    assert signed_area(found.polygons[0][0]) == pytest.approx(star.area)
    assert shapely.Polygon(found.polygons[0][0]).exterior.is_ccw
