"""Three estimates for each facility and test, by rows written out to be checked by hand."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from apps.catalogue.models import LabTest
from apps.demand.selectors import Assumptions, Estimate, estimates_at, estimates_in
from tests.factories.accounts import make_person
from tests.factories.catalogue import make_test
from tests.factories.demand import make_consumption, make_rate, make_statistic
from tests.factories.facilities import make_block, make_district, make_facility, make_route
from tests.factories.inventory import make_demand

PLAIN = Assumptions(
    year=2026, growth_per_year=0, quality_control_share=0, repeat_share=0, wastage_share=0
)


@pytest.fixture
def north(db):
    return make_district("north")


@pytest.fixture
def upper(north):
    return make_block("upper", north)


@pytest.fixture
def hill(upper):
    return make_facility("hill", upper, level=2, population=1000)


@pytest.fixture
def smear(db) -> LabTest:
    return make_test("smear", lowest_level=2)


@pytest.fixture
def officer(north):
    person = make_person("officer", role="health_officer")
    person.stewardships.create(area=north)
    return person


def only(estimates: list[Estimate]) -> Estimate:
    [estimate] = estimates
    return estimate


def said(estimate: Estimate) -> dict[str, float | None]:
    return {figure.basis: figure.tests_per_year for figure in estimate.figures}


def test_all_three_are_worked_out_and_the_first_that_holds_is_gone_by(hill, smear, officer):
    make_statistic(hill, smear, 380, completeness_share=0.95)
    make_consumption(hill, smear, 330, days_out_of_stock=0)
    make_rate(smear, 0.5)

    found = only(estimates_at(officer, hill, assumptions=PLAIN))

    assert said(found) == {"service_statistics": 400, "consumption": 330, "morbidity": 500}
    assert (found.chosen.basis, found.is_weak) == ("service_statistics", False)
    assert found.spread == pytest.approx(500 / 330)
    assert not found.is_flagged


def test_growth_and_extra_units_are_those_assumed(hill, smear, officer):
    make_statistic(hill, smear, 100, year=2024)
    make_consumption(hill, smear, 130)
    assumptions = Assumptions(2026, 0.1, 0.1, 0.1, 0.1)

    found = only(estimates_at(officer, hill, assumptions=assumptions))

    assert said(found) == {
        "service_statistics": pytest.approx(121),
        "consumption": pytest.approx(110),
    }


def test_the_latest_record_up_to_the_year_planned_for_counts(hill, smear, officer):
    for year, recorded in ((2024, 10), (2026, 30), (2025, 20), (2027, 40)):
        make_statistic(hill, smear, recorded, year=year)

    found = only(estimates_at(officer, hill, assumptions=PLAIN))

    assert found.figures[0].row.year == 2026


@pytest.mark.parametrize(("year", "known"), [(2016, 1), (2015, 0), (25, 0)])
def test_records_of_more_than_ten_years_ago_say_nothing(hill, smear, officer, year, known):
    make_statistic(hill, smear, 100, year=year)
    make_consumption(hill, smear, 100, year=year)

    assert len(estimates_at(officer, hill, assumptions=PLAIN)) == known


def test_statistics_that_do_not_hold_give_way_and_are_weak_where_there_is_nothing_else(
    hill, smear, officer
):
    make_statistic(hill, smear, 40, completeness_share=0.5)
    alone = only(estimates_at(officer, hill, assumptions=PLAIN))
    make_rate(smear, 0.1)
    with_rate = only(estimates_at(officer, hill, assumptions=PLAIN))

    assert (alone.chosen.basis, alone.is_weak) == ("service_statistics", True)
    assert (with_rate.chosen.basis, with_rate.is_weak) == ("morbidity", False)


@pytest.mark.parametrize(("recorded", "flagged"), [(200, False), (201, True), (50, False)])
def test_more_than_twice_apart_is_flagged(hill, smear, officer, recorded, flagged):
    make_statistic(hill, smear, recorded)
    make_rate(smear, 0.1)

    found = only(estimates_at(officer, hill, assumptions=PLAIN))

    assert (found.disagrees, found.is_flagged) == (flagged, flagged)


def test_the_largest_slip_that_the_tables_let_through_is_flagged_and_breaks_nothing(
    hill, smear, officer
):
    make_consumption(hill, smear, 1e9, days_out_of_stock=364, tests_per_unit=1e6)
    make_rate(smear, 1)

    found = only(estimates_at(officer, hill, assumptions=PLAIN))

    assert found.is_flagged
    assert found.spread > 1e12


def test_an_adopted_figure_more_than_twice_off_is_flagged_too(hill, smear, officer):
    make_demand(hill, smear, 49)
    make_rate(smear, 0.1)

    found = only(estimates_at(officer, hill, assumptions=PLAIN))

    assert (found.disagrees, found.is_off, found.of_adopted) == (False, True, 100 / 49)
    assert found.at_stake == 51


def test_nothing_known_or_asked_gives_no_line_and_what_is_adopted_always_does(hill, smear, officer):
    make_test("other")
    make_demand(hill, smear, 10)

    found = only(estimates_in(officer, hill.area.parent, assumptions=PLAIN))

    assert (found.test, found.figures, found.chosen, found.spread) == (smear, (), None, None)


def test_people_below_the_level_of_a_test_ask_where_the_routes_lead_them(upper, smear, officer):
    """Posts go to the centre; what the centre does not offer goes on to the hospital."""
    scan = make_test("scan", lowest_level=3)
    travels = make_test("travels", lowest_level=3, max_transport_hours=8)
    post = make_facility("post", upper, level=1, population=100)
    centre = make_facility("centre", upper, level=2, population=1000)
    hospital = make_facility("hospital", upper, level=3, population=10_000)
    lonely = make_facility("lonely", upper, level=1, population=7)
    make_route(post, centre, hours=9)
    make_route(centre, hospital, hours=1)
    for test in (smear, scan, travels):
        make_rate(test, 1)

    found = {
        (each.facility.code, each.test.code): each.people
        for each in estimates_in(officer, upper.parent, assumptions=PLAIN)
    }

    assert found == {
        ("centre", "smear"): 1100,
        ("hospital", "smear"): 10_000,
        ("hospital", "scan"): 11_100,
        ("post", "travels"): 100,
        ("centre", "travels"): 1000,
        ("hospital", "travels"): 10_000,
        ("lonely", "smear"): 7,
        ("lonely", "scan"): 7,
        ("lonely", "travels"): 7,
    }
    assert lonely.level == 1


def test_an_unknown_population_makes_the_estimate_of_all_who_share_it_unknown(
    upper, smear, officer
):
    post = make_facility("post", upper, level=1, population=None)
    centre = make_facility("centre", upper, level=2, population=1000)
    make_route(post, centre, hours=1)
    make_rate(smear, 1)
    make_demand(centre, smear, 5)

    found = only(estimates_at(officer, centre, assumptions=PLAIN))

    assert (found.people, said(found), found.chosen) == (None, {"morbidity": None}, None)


def test_the_rate_of_the_smallest_area_counts_and_within_it_that_of_the_level(
    hill, smear, officer, north
):
    rates = [
        (0.1, {}), (0.2, {"level": 2}), (0.3, {"area": north}), (0.4, {"area": hill.area}),
        (0.5, {"area": hill.area, "level": 2}),
    ]  # fmt: skip
    found = []
    for rate, where in rates:
        make_rate(smear, rate, **where)
        found.append(said(only(estimates_at(officer, hill, assumptions=PLAIN)))["morbidity"])

    assert found == [100, 200, 300, 400, 500]


def test_rates_of_other_places_do_not_hold(hill, smear, officer):
    make_rate(smear, 0.1, level=1)
    make_rate(smear, 0.2, area=make_block("lower", hill.area.parent))

    assert estimates_at(officer, hill, assumptions=PLAIN) == []


def test_nobody_sees_estimates_of_facilities_elsewhere(hill, smear):
    make_statistic(hill, smear, 10)
    stranger = make_person("stranger", role="health_officer")

    assert estimates_at(stranger, hill) == []
    assert estimates_in(stranger, hill.area.parent) == []


@pytest.mark.parametrize("more", [1, 5])
def test_the_queries_are_as_many_however_many_facilities_and_tests(
    upper, hill, smear, officer, more
):
    for number in range(more):
        test = make_test(f"test-{number}")
        site = make_facility(f"site-{number}", upper, population=100)
        make_statistic(site, test, 10)
        make_consumption(site, test, 10)
        make_rate(test, 0.1, area=upper)
        make_demand(site, test, 10)

    with CaptureQueriesContext(connection) as in_district:
        assert len(estimates_in(officer, upper.parent)) >= more
    with CaptureQueriesContext(connection) as at_site:
        estimates_at(officer, hill)

    assert (len(in_district), len(at_site)) == (9, 9)
