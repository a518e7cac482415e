"""Where the people of a site go for what it lacks, and how far people are from a test."""

import pytest

from apps.coverage.models import Assessment, Document, Finding
from apps.coverage.selectors.elsewhere import reach_from
from apps.coverage.selectors.reach import reach_of_test
from apps.coverage.selectors.ways import ways_from
from planner.engine.access import Pace
from tests.factories.accounts import make_person
from tests.factories.catalogue import make_test
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
def upper(north):
    return make_block("upper", north)


@pytest.fixture
def hill(upper):
    return make_facility("hill", upper, population=100)


@pytest.fixture
def ford(upper):
    """0.2 degrees of the equator from the hill: 22.26 km, 1.04 hours by vehicle."""
    return make_facility("ford", upper, population=200, longitude=0.2)


@pytest.fixture
def mill(upper):
    """Twice as far."""
    return make_facility("mill", upper, population=400, longitude=0.4)


@pytest.fixture
def malaria(db):
    return make_test("malaria", max_transport_hours=24)


@pytest.fixture
def assessment(north):
    document = Document.objects.create(sha256="a" * 64, content=b"")
    return Assessment.objects.create(area=north, case=document)


def finding(assessment, site, test, state):
    return Finding.objects.create(assessment=assessment, facility=site, test=test, state=state)


def elsewhere(site, assessment):
    return reach_from(site, assessment.area, assessment, ways_from(site))


def test_the_nearest_site_that_runs_a_test_is_named_with_the_way_to_it(
    hill, ford, mill, malaria, assessment
):
    finding(assessment, hill, malaria, "blocked")
    for site in (ford, mill):
        finding(assessment, site, malaria, "runs")

    [found] = elsewhere(hill, assessment)

    assert found.journey.site == ford
    assert found.journey.straight_km == pytest.approx(22.2639, abs=1e-4)
    assert found.journey.dry_hours == pytest.approx(1.0390, abs=1e-4)
    assert found.journey.wet_hours == pytest.approx(1.5585, abs=1e-4)
    assert not found.journey.dry_is_measured
    assert [(each.test, each.way, each.spare_hours) for each in found.tests] == [
        (malaria, None, None)
    ]


def test_a_measured_time_can_make_a_farther_site_the_nearest(hill, ford, mill, malaria, assessment):
    finding(assessment, hill, malaria, "blocked")
    for site in (ford, mill):
        finding(assessment, site, malaria, "runs")
    make_travel_time(hill, mill, hours=0.5)

    [found] = elsewhere(hill, assessment)

    assert (found.journey.site, found.journey.dry_hours) == (mill, 0.5)
    assert (found.journey.dry_is_measured, found.journey.wet_is_measured) == (True, False)


@pytest.mark.parametrize(("hours", "spare", "in_time"), [(24, 0, True), (24.5, -0.5, False)])
def test_a_specimen_has_to_spare_what_it_keeps_beyond_the_worst_case(
    hill, mill, malaria, assessment, hours, spare, in_time
):
    finding(assessment, hill, malaria, "referred")
    finding(assessment, mill, malaria, "runs")
    make_route(hill, mill, hours=hours)

    [[lacking]] = [found.tests for found in elsewhere(hill, assessment)]

    assert (lacking.goes_to, lacking.spare_hours, lacking.in_time) == (mill, spare, in_time)


def test_of_several_routes_the_quickest_to_a_site_that_runs_it_is_told(
    hill, ford, mill, malaria, assessment
):
    finding(assessment, hill, malaria, "referred")
    finding(assessment, mill, malaria, "runs")
    make_route(hill, ford, hours=1)
    make_route(hill, mill, hours=9)

    [[lacking]] = [found.tests for found in elsewhere(hill, assessment)]

    assert (lacking.goes_to, lacking.way.hours) == (mill, 9)


def test_a_specimen_that_may_not_travel_has_nothing_to_spare(hill, mill, assessment):
    sweat = make_test("sweat", max_transport_hours=None)
    finding(assessment, hill, sweat, "blocked")
    finding(assessment, mill, sweat, "runs")
    make_route(hill, mill, hours=1)

    [[lacking]] = [found.tests for found in elsewhere(hill, assessment)]

    assert (lacking.spare_hours, lacking.in_time) == (None, False)


def test_what_runs_nowhere_comes_last_and_what_is_not_expected_or_runs_here_not_at_all(
    hill, mill, malaria, assessment
):
    finding(assessment, hill, make_test("naat"), "blocked")
    finding(assessment, hill, malaria, "unknown")
    finding(assessment, mill, malaria, "runs")
    finding(assessment, hill, make_test("hiv"), "runs")
    finding(assessment, hill, make_test("csf"), "not_expected")

    found = elsewhere(hill, assessment)

    assert [
        (each.journey and each.journey.site.code, [one.test.code for one in each.tests])
        for each in found
    ] == [("mill", ["malaria"]), (None, ["naat"])]


def reached(user, malaria, assessment, **pace):
    return reach_of_test(user, assessment.area, malaria, assessment, Pace(**pace))


@pytest.fixture
def planner():
    return make_person(is_superuser=True)


def test_people_are_counted_by_their_way_to_a_site_that_runs_the_test(
    hill, ford, mill, malaria, assessment, planner
):
    finding(assessment, mill, malaria, "runs")

    found = reached(planner, malaria, assessment)

    assert (found.sites_able, found.ways, found.measured_ways) == (1, 2, 0)
    assert (found.reach.people, found.reach.on_site) == (700, 400)
    assert (found.reach.within_hours, found.reach.beyond) == ((400, 600), 100)


def test_only_measured_times_of_the_mode_and_season_asked_for_count(
    hill, ford, mill, malaria, assessment, planner
):
    finding(assessment, mill, malaria, "runs")
    make_travel_time(ford, mill, mode="walk", season="wet", hours=0.5)

    assert reached(planner, malaria, assessment, mode="walk", season="wet").measured_ways == 1
    assert reached(planner, malaria, assessment, mode="walk").measured_ways == 0


def test_people_whom_one_may_not_see_are_not_counted_but_their_site_can_be_the_nearest(
    north, hill, malaria, assessment
):
    over_there = make_facility("over", make_block("lower", north), population=900)
    finding(assessment, over_there, malaria, "runs")
    person = make_person()
    person.stewardships.create(area=hill.area)

    found = reached(person, malaria, assessment)

    assert (found.reach.people, found.reach.on_site) == (100, 0)
    assert found.reach.within_hours == (100, 100)


def test_closed_sites_neither_run_a_test_nor_have_people(hill, mill, malaria, assessment, planner):
    finding(assessment, mill, malaria, "runs")
    mill.closed_on = "2026-01-15"
    mill.save()

    found = reached(planner, malaria, assessment)

    assert (found.sites_able, found.reach.people, found.reach.beyond) == (0, 100, 100)


def test_a_site_whose_degrees_look_exchanged_is_named(upper, malaria, assessment, planner):
    for number in range(3):
        make_facility(f"site-{number}", upper, latitude=1.5, longitude=30)
    make_facility("odd", upper, latitude=30, longitude=1.5)

    assert reached(planner, malaria, assessment).exchanged == ("Odd",)


@pytest.mark.parametrize("more", [0, 4])
def test_both_take_as_many_queries_however_many_sites(
    upper, hill, mill, malaria, assessment, planner, django_assert_num_queries, more
):
    finding(assessment, hill, malaria, "referred")
    finding(assessment, mill, malaria, "runs")
    for number in range(more):
        site = make_facility(f"site-{number}", upper)
        finding(assessment, site, malaria, "runs")
        make_travel_time(hill, site)

    with django_assert_num_queries(4):
        reached(planner, malaria, assessment)
    with django_assert_num_queries(6):
        elsewhere(hill, assessment)
