"""The drawing of a district, by hand-checked geometry."""

from dataclasses import replace
from math import cos, radians

import pytest

from apps.coverage.choices import State
from apps.facilities.choices import Level
from apps.web.maps import MARGIN, RADIUS_GLYPH, RADIUS_LEAST, RADIUS_MOST, WIDTH, draw
from apps.web.places import Place, Region, StatePlace, shade
from apps.web.shapes import outline

POST = Place("hill", "Hill", Level.HEALTH_POST, 0.0, 30.0, 400, can=1, expected=4)
SQUARE = Region(
    "North",
    {"type": "Polygon", "coordinates": [[[30, 0], [31, 0], [31, 1], [30, 1], [30, 0]]]},
)


def corners(path: str) -> list[tuple[float, float]]:
    pairs = path.strip("MZ").split(" ")
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in pairs)]


def test_nothing_to_draw_gives_no_drawing():
    assert draw([], []) is None


def test_north_is_up_east_is_right_and_the_outline_fills_the_width():
    drawing = draw([], [SQUARE])

    south_west, south_east, north_east, _, _ = corners(drawing.lands[0].path)
    assert (south_west[0], south_east[0]) == (MARGIN, WIDTH - MARGIN)
    assert north_east[1] == MARGIN
    assert south_west[1] > north_east[1]


def test_a_degree_of_longitude_is_drawn_shorter_by_the_cosine_of_the_latitude():
    far_north = {"type": "Polygon", "coordinates": [[[30, 60], [32, 60], [32, 61], [30, 61]]]}

    path = corners(draw([], [Region("North", far_north)]).lands[0].path)

    across, along = path[1][0] - path[0][0], path[0][1] - path[3][1]
    assert across / along == pytest.approx(2 * cos(radians(60.5)), rel=1e-3)


def test_holes_and_several_polygons_are_all_drawn():
    ring = [[30, 0], [31, 0], [31, 1], [30, 0]]
    region = Region("Isles", {"type": "MultiPolygon", "coordinates": [[ring, ring], [ring]]})

    assert draw([], [region]).lands[0].path.count("M") == 3


def test_the_area_of_a_mark_grows_with_the_people_but_never_vanishes():
    town = replace(POST, code="town", latitude=0.5, population=40_000)
    drawing = draw([POST, town], [])

    assert [point.place.code for point in drawing.points] == ["town", "hill"]
    assert f"a{RADIUS_MOST:.1f}" in drawing.points[0].path
    assert f"a{RADIUS_LEAST:.1f}" in drawing.points[1].path


def test_a_site_of_unknown_population_is_drawn_small():
    assert f"a{RADIUS_LEAST:.1f}" in draw([replace(POST, population=None)], []).points[0].path


def test_only_the_district_hospital_carries_its_name():
    places = [replace(POST, code=str(level), level=level) for level in Level]

    named = {point.place.level: point.label is not None for point in draw(places, []).points}

    assert named == {1: False, 2: False, 3: False, 4: True}


def test_each_level_has_a_shape_of_its_own():
    assert len({outline(level, radius=6) for level in Level}) == len(Level)


@pytest.mark.parametrize(
    ("can", "expected", "drawn"),
    [(0, 10, "none"), (0, 0, "none"), (1, 10, "1"), (2, 10, "2"), (9, 10, "5"), (10, 10, "5")],
)
def test_the_shade_is_the_fifth_that_the_share_lies_in(can, expected, drawn):
    assert shade(can, expected) == drawn


def test_a_mark_says_who_it_stands_for():
    one, unknown = draw([POST, replace(POST, code="x", name="X", population=None)], []).points

    assert one.title == "Hill, Health post: 400 people, 1 of 4 tests"
    assert unknown.title == "X, Health post: people not known, 1 of 4 tests"


def test_a_map_of_states_gives_every_mark_a_glyph_of_its_own_and_room_for_it():
    places = [
        StatePlace(state, "Hill", Level.HEALTH_POST, 0.0, 30.0, 400, state)
        for state in State.values
    ]
    points = draw(places, [], least=RADIUS_GLYPH).points

    assert len({point.place.glyph for point in points}) == len(State)
    assert {point.mark.width for point in points} == {2 * RADIUS_MOST}
    assert points[0].title.startswith("Hill, Health post: 400 people, ")


def test_an_unknown_population_still_leaves_room_for_the_glyph():
    place = StatePlace("hill", "Hill", Level.HEALTH_POST, 0.0, 30.0, None, State.BLOCKED)

    [point] = draw([place], [], least=RADIUS_GLYPH).points

    assert point.mark.width == 2 * RADIUS_GLYPH
    assert point.title == "Hill, Health post: people not known, Cannot"
