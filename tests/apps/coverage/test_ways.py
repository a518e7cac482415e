"""The hours of a link: stated, or worked out from the days of collection and the way."""

import pytest

from apps.coverage.adapters import LeftOut, freeze_as_it_stands
from apps.coverage.selectors.ways import ways_from, ways_within
from tests.factories.facilities import (
    make_block,
    make_district,
    make_facility,
    make_route,
    make_travel_time,
)


@pytest.fixture
def north(db):
    return make_district("north")


@pytest.fixture
def hill(north):
    return make_facility("hill", make_block("upper", north))


@pytest.fixture
def ford(hill):
    return make_facility("ford", hill.area)


def hours(site) -> list[float | None]:
    return [way.hours for way in ways_from(site)]


def test_a_route_takes_as_long_as_stated_where_its_pieces_are_not_known(hill, ford):
    make_route(hill, ford, hours=50)
    make_travel_time(hill, ford, hours=2)

    [way] = ways_from(hill)

    assert (way.hours, way.is_worked_out, way.travel_is_measured) == (50, False, True)


def test_known_pieces_are_worked_out_whatever_is_stated_for_the_whole(hill, ford):
    """Mon to Thu is three days, Thu to Mon four: 96 h, and 2 on the way, and 6 in the queue."""
    make_route(hill, ford, hours=50, collection_weekdays="mon;thu", travel_hours=2, queue_hours=6)

    [way] = ways_from(hill)

    assert (way.wait_hours, way.travel_hours, way.queue_hours) == (96, 2, 6)
    assert (way.hours, way.stated_hours, way.is_worked_out) == (104, 50, True)


def test_the_table_of_travel_times_fills_in_what_the_route_does_not_say(hill, ford):
    make_route(hill, ford, hours=None, collection_weekdays="mon;wed;fri;sat")
    make_travel_time(hill, ford, hours=1.1)

    [way] = ways_from(hill)

    assert (way.hours, way.travel_is_measured) == (49.1, True)


def test_what_the_route_says_goes_before_the_table(hill, ford):
    make_route(hill, ford, collection_weekdays="mon", travel_hours=3)
    make_travel_time(hill, ford, hours=1)

    [way] = ways_from(hill)

    assert (way.hours, way.travel_is_measured) == (171, False)


def test_of_the_table_the_quickest_mode_of_the_slower_season_counts(hill, ford):
    make_route(hill, ford, collection_weekdays="mon")
    make_travel_time(hill, ford, season="dry", mode="unpaved", hours=1)
    make_travel_time(hill, ford, season="wet", mode="unpaved", hours=4)
    make_travel_time(hill, ford, season="wet", mode="walk", hours=3)

    assert hours(hill) == [171]


def test_a_travel_time_counts_in_its_own_direction_only(hill, ford):
    make_route(hill, ford, hours=None, collection_weekdays="mon")
    make_travel_time(ford, hill, hours=1)

    assert hours(hill) == [None]


def test_where_the_hour_of_collection_is_known_specimens_are_taken_from_8_to_16(hill, ford):
    every_day = "mon;tue;wed;thu;fri;sat;sun"
    make_route(hill, ford, collection_weekdays=every_day, collection_hour=16, travel_hours=0.6)

    assert hours(hill) == [8.6]


def test_routes_that_cannot_be_in_the_case_are_named_with_what_would_change_that(hill, ford):
    coast = make_facility("coast", make_district("south"))
    make_route(hill, coast, hours=1)
    make_route(hill, ford, hours=None)
    make_route(ford, hill, hours=None, collection_weekdays="mon")

    found = freeze_as_it_stands(hill.area.parent)

    assert found.case.links == ()
    assert found.routes_left_out == (
        LeftOut(
            "ford",
            "Its route to hill is left out: enter the travel time, or the worst case of hours",
        ),
        LeftOut(
            "hill",
            "Its route to coast is left out: that facility is closed, lies in another district,"
            " or is left out itself",
        ),
        LeftOut(
            "hill",
            "Its route to ford is left out: enter the days of collection, or the worst case of"
            " hours",
        ),
    )


def test_the_hours_worked_out_are_those_of_the_link_in_the_case(hill, ford):
    make_route(hill, ford, collection_weekdays="mon;thu", travel_hours=2.25, cost_per_specimen=3)

    [link] = freeze_as_it_stands(hill.area.parent).case.links

    assert (link.origin, link.to, link.hours, link.cost) == ("hill", "ford", 98.25, 3)


@pytest.mark.parametrize("more", [0, 3])
def test_the_ways_of_a_district_take_two_queries_however_many(
    north, hill, ford, django_assert_num_queries, more
):
    for number in range(more):
        other = make_facility(f"site-{number}", hill.area)
        make_route(other, ford, collection_weekdays="mon")
        make_travel_time(other, ford)

    with django_assert_num_queries(2):
        found = ways_within(north)

    assert len(found) == more
