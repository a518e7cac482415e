"""Travel times, and how far people are from a test."""

import pytest

from apps.coverage.services import refresh_coverage
from apps.facilities.models import Facility, TravelTime
from tests.factories.facilities import make_travel_time


@pytest.fixture
def assessed(register):
    refresh_coverage(area=register.north, by=None)
    return register


def test_travel_times_are_those_that_set_out_in_the_areas_of_the_person(api, register):
    make_travel_time(register.ford, register.hill, hours=0.5, season="wet", source="a driver")
    make_travel_time(register.coast, register.hill, hours=9)

    answer = api.get("/api/v1/travel-times/")

    assert answer.json()["results"] == [
        {
            "origin": "ford",
            "destination": "hill",
            "mode": "unpaved",
            "season": "wet",
            "hours": 0.5,
            "source": "a driver",
            "measured_on": None,
        }
    ]


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ("", 2),
        ("?origin=ford", 1),
        ("?season=wet", 1),
        ("?mode=walk", 0),
        ("?area=upper&ordering=-hours", 2),
    ],
)
def test_travel_times_are_narrowed_as_asked(api, register, query, count):
    make_travel_time(register.ford, register.hill, season="wet")
    make_travel_time(register.hill, register.ford, season="dry")

    assert api.get(f"/api/v1/travel-times/{query}").json()["count"] == count


def test_the_reach_of_a_test_counts_people_by_their_way_to_a_site_that_runs_it(api, assessed):
    """12 000 at hill, which runs it; 8000 at ford, by a measured way of an hour and a half."""
    make_travel_time(assessed.ford, assessed.hill, hours=1.5)

    answer = api.get("/api/v1/tests/haemoglobin/reach/", {"area": "north"})

    body = answer.json()
    assert body.pop("assessed_at")
    assert body == {
        "test": "haemoglobin",
        "area": "north",
        "mode": "unpaved",
        "season": "dry",
        "people": 20000.0,
        "on_site": 12000.0,
        "within_5_km": 20000.0,
        "within_1_hour": 12000.0,
        "within_2_hours": 20000.0,
        "beyond": 0.0,
        "way_unknown": 0.0,
        "sites_able": 1,
        "sites_uncounted": 0,
        "ways_measured": 1,
        "ways": 1,
        "detour_index": 1.4,
    }


def test_a_measured_time_counts_for_its_own_mode_and_season_only(api, assessed):
    make_travel_time(assessed.ford, assessed.hill, hours=1.5)

    for query in ({"season": "wet"}, {"mode": "walk"}):
        body = api.get("/api/v1/tests/haemoglobin/reach/", {"area": "north", **query}).json()
        # Both sites stand in the same place, so that an estimate takes no time at all.
        assert (body["within_1_hour"], body["ways_measured"]) == (20000.0, 0)


def test_people_of_sites_that_are_not_counted_are_in_no_figure_and_said(api, assessed):
    Facility.objects.filter(code="ford").update(population=None)

    body = api.get("/api/v1/tests/haemoglobin/reach/", {"area": "north"}).json()

    assert (body["people"], body["sites_uncounted"]) == (12000.0, 1)


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("haemoglobin/reach/", 400),
        ("haemoglobin/reach/?area=south", 400),
        ("haemoglobin/reach/?area=north&mode=boat", 400),
        ("nothing/reach/?area=north", 404),
    ],
)
def test_what_cannot_be_asked_is_refused(api, assessed, path, status):
    assert api.get(f"/api/v1/tests/{path}").status_code == status


def test_before_the_first_assessment_there_is_no_reach(api):
    answer = api.get("/api/v1/tests/haemoglobin/reach/", {"area": "north"})

    assert answer.status_code == 404


@pytest.mark.parametrize("more", [0, 4])
def test_the_reach_takes_as_many_queries_however_many_ways(
    api, assessed, django_assert_num_queries, more
):
    for number in range(more):
        place = {"area": assessed.upper, "level": 1, "latitude": 0, "longitude": number}
        site = Facility.objects.create(code=f"site-{number}", name="Site", **place)
        make_travel_time(site, assessed.hill)

    assert TravelTime.objects.count() == more
    with django_assert_num_queries(10):
        api.get("/api/v1/tests/haemoglobin/reach/", {"area": "north"})
