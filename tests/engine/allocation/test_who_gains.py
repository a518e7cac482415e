"""Who gains by a plan, in people and in fifths, and what it leaves undone."""

import pytest

from planner.engine.allocation import plan, today
from planner.engine.allocation.explain import after, fifths, remaining, site_changes
from planner.engine.allocation.explain.people import SiteChange
from planner.engine.coverage import assess
from tests.factories.cases import (
    case,
    device_model,
    lab_test,
    limits,
    link,
    method,
    move,
    need,
    serves,
    site,
    skill,
    stock,
)


def test_people_count_where_more_is_done_for_them_wherever_that_is():
    country = case(
        tests=[lab_test("dip", max_transport_hours=9)],
        methods=[method("reading", "dip", need("reader"))],
        device_models=[device_model("reader", serves("reader"), price=300)],
        sites=[site(code, population=10, demand={"dip": 100}) for code in ("ford", "hill", "rim")],
        links=[link("ford", "hill")],
        limits=limits(capital=300),
    )

    changes = site_changes(country, today(country), plan(country, gap=0))

    assert changes == (
        SiteChange("ford", 10, 100, 0, 100),
        SiteChange("hill", 10, 100, 0, 100),
        SiteChange("rim", 10, 100, 0, 0),
    )
    assert [change.gains for change in changes] == [True, True, False]


def test_fifths_hold_equally_many_people_the_worst_served_first():
    """Ten people a fifth: of 'large', the worst off, twenty people fill the first two."""
    sites = [
        SiteChange("small", 10, 100, 50, 60),
        SiteChange("large", 20, 100, 0, 80),
        SiteChange("other", 20, 200, 200, 200),
    ]

    found = fifths(sites)

    assert [each.people for each in found] == [10] * 5
    assert [each.before for each in found] == [0, 0, 0.5, 1, 1]
    assert [each.after for each in found] == [0.8, 0.8, 0.6, 1, 1]


@pytest.mark.parametrize("sites", [[], [SiteChange("none", 0, 10, 0, 5)]])
def test_where_nobody_lives_or_nothing_is_asked_there_are_no_shares(sites):
    assert [(each.people, each.before) for each in fifths(sites)] == [(0, None)] * 5


def left_out_of(**given) -> list:
    answer = plan(country := case(**given), gap=0)
    return list(remaining(country, answer))


TESTS = [lab_test("dip"), lab_test("count")]
METHODS = [
    method("reading", "dip", need("reader"), staff_hours=1),
    method("counting", "count", need("counter")),
]
MODELS = [device_model("reader", serves("reader"), price=300)]


def test_what_is_left_says_whether_hours_money_or_nothing_would_help():
    found = left_out_of(
        tests=TESTS,
        methods=METHODS,
        device_models=MODELS,
        sites=[
            site("ford", staff_hours=40, demand={"dip": 100, "count": 5}),
            site("hill", staff_hours=10, demand={"dip": 10}),
        ],
        limits=limits(capital=300),
    )

    ford, hill = found
    assert (ford.site, ford.tests_per_year) == ("ford", 65)
    assert ford.by_why == {"used_up": 60, "nothing_helps": 5}
    assert (ford.next_test, ford.next_cost) == ("", None)
    assert (hill.by_why, hill.next_test, hill.next_cost) == ({"elsewhere": 10}, "dip", 300)


def test_less_than_half_a_test_a_year_is_rounding():
    asked = {"tests": TESTS, "methods": METHODS, "device_models": MODELS}

    assert left_out_of(**asked, sites=[site(demand={"dip": 0.49})]) == []
    assert len(left_out_of(**asked, sites=[site(demand={"dip": 0.5})])) == 1


def test_after_a_plan_its_sites_hold_what_was_bought_mended_taught_and_moved():
    country = case(
        skills=[skill("reading", training_cost=1)],
        tests=[lab_test("dip")],
        methods=[method("m", "dip", need("reader"), skills=["reading"])],
        device_models=[device_model("reader", serves("reader"), price=100, repair_cost=90)],
        sites=[site(code, demand={"dip": 10}) for code in ("a", "b", "c", "d")],
        stock=[stock("b", "reader", broken=1), stock("d", "reader", working=2)],
        moves=[move("d", "c", "reader", cost=5)],
        limits=limits(capital=1000),
    )
    answer = plan(country, gap=0)

    held = after(country, answer)

    assert {(e.site, e.working, e.broken) for e in held.stock} == {
        ("a", 1, 0), ("b", 1, 0), ("c", 1, 0), ("d", 1, 0),
    }  # fmt: skip
    assert all(each.skills == ("reading",) for each in held.sites)
    assert assess(held).state.tolist() == assess(held).state[:1].tolist() * 4
