import pytest

from apps.web.labels import Box, area, beside, centre, text_box, within

SQUARE = [(0, 0), (400, 0), (400, 400), (0, 400), (0, 0)]
# Three unit squares, whose centres average to (5/6, 5/6).
ELL = [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2), (0, 0)]


def test_area_and_centre_of_an_ell_are_those_of_its_three_squares():
    assert abs(area(ELL)) == 3
    assert centre(ELL) == pytest.approx((5 / 6, 5 / 6))


def test_a_ring_without_an_area_has_its_centre_at_its_first_corner():
    assert centre([(1, 2), (3, 4), (1, 2)]) == (1, 2)


def test_a_name_stands_in_the_centre_where_nothing_is_in_its_way():
    room = within("North", SQUARE, [])

    assert (room.x, room.y) == (200, 200)


def test_a_name_gives_way_to_a_mark_by_the_shortest_way():
    room = within("North", SQUARE, [Box(200, 195, 10, 10)])

    assert (room.x, room.y) == (200, 212)


def test_a_name_does_not_leave_its_area():
    strip = [(0, 0), (400, 0), (400, 14), (0, 14), (0, 0)]

    room = within("North", strip, [Box(200, 7, 10, 10)])

    assert (room.y, room.meets(Box(200, 7, 10, 10))) == (7, False)


def test_a_name_that_fits_nowhere_stands_in_the_centre():
    speck = [(0, 0), (2, 0), (2, 2), (0, 2), (0, 0)]

    assert within("North", speck, []) == text_box("North", 1, 1)


def test_the_name_of_a_mark_stands_above_it_and_below_where_above_is_taken():
    mark = Box(100, 100, 20, 20)

    above = beside("Hill", mark, [])
    below = beside("Hill", mark, [Box(100, 82, 10, 10)])

    assert (above.y, below.y) == (83.5, 116.5)


@pytest.mark.parametrize(("x", "meets"), [(9.9, True), (10, False)])
def test_boxes_that_only_touch_do_not_meet(x, meets):
    assert Box(0, 0, 10, 10).meets(Box(x, 0, 10, 10)) is meets
