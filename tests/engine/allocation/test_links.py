"""Specimens that travel: how long, which way, at whose hours and cost, for whose area."""

from typing import Any

import pytest

from planner.engine.allocation import plan
from planner.engine.case import Case
from tests.factories.cases import (
    area,
    case,
    device_model,
    lab_test,
    limits,
    link,
    method,
    need,
    serves,
    site,
    stock,
)


def optimum(given: Case) -> float | None:
    return plan(given, gap=0).objective


def district(**given: Any) -> Case:
    """A spinner costs more than there is."""
    lists = {
        "methods": [method("spin", "pcv", need("centrifuge"))],
        "device_models": [device_model("spinner", serves("centrifuge"), price=50)],
    }
    return case(**{**lists, **given})


def linked(*, hours: float = 4, cost: float = 0, longest: float | None = 4, **given: Any) -> Case:
    """The people of the hill ask for 100 tests; only the lake has a spinner."""
    return district(
        tests=[lab_test("pcv", max_transport_hours=longest)],
        sites=[site("hill", demand={"pcv": 100}), site("lake", staff_hours=30)],
        stock=[stock("lake", "spinner", working=1)],
        links=[link("hill", "lake", hours=hours, cost=cost)],
        **given,
    )


@pytest.mark.parametrize(("longest", "tests"), [(4, 100), (3.9, 0), (None, 0)])
def test_a_specimen_travels_no_longer_than_it_keeps(longest, tests):
    assert optimum(linked(longest=longest)) == tests


def test_a_specimen_does_not_travel_against_a_link():
    given = linked()
    against = [link("lake", "hill", hours=4)]

    assert optimum(given.model_copy(update={"links": tuple(against)})) == 0


def test_a_specimen_is_not_sent_on():
    """From the hill to the lake, and from the lake to the mill, but not from hill to mill."""
    given = district(
        tests=[lab_test("pcv", max_transport_hours=99)],
        sites=[site("hill", demand={"pcv": 100}), site("lake"), site("mill")],
        stock=[stock("mill", "spinner", working=1)],
        links=[link("hill", "lake"), link("lake", "mill")],
    )

    assert optimum(given) == 0


def test_tests_from_elsewhere_take_the_hours_of_the_site_that_does_them():
    slow = [method("spin", "pcv", need("centrifuge"), staff_hours=0.5)]

    assert optimum(linked(methods=slow)) == 60


def test_transport_is_paid_from_the_running_money():
    assert optimum(linked(cost=2, limits=limits(recurrent=50))) == 25


def test_tests_count_for_the_area_of_the_people_not_of_the_site_that_does_them():
    given = district(
        tests=[lab_test("pcv", max_transport_hours=9)],
        areas=[area("east", floor=1.0), area("west")],
        sites=[site("hill", area="east", demand={"pcv": 100}), site("lake", area="west")],
        stock=[stock("lake", "spinner", working=1)],
        links=[link("hill", "lake")],
    )

    assert optimum(given) == 100


def test_a_specimen_travels_to_where_the_test_costs_less_than_at_home():
    """200 at home, or 100 away and 10 on the way: with 110 to spend all are served away."""
    given = district(
        tests=[lab_test("pcv", max_transport_hours=9)],
        methods=[
            method("cheap", "pcv", need("centrifuge"), consumable_cost=1),
            method("dear", "pcv", consumable_cost=2),
        ],
        sites=[site("hill", demand={"pcv": 100}), site("lake")],
        stock=[stock("lake", "spinner", working=1)],
        links=[link("hill", "lake", cost=0.1)],
        limits=limits(recurrent=110),
    )

    assert optimum(given) == 100


def test_a_specimen_travels_where_the_hours_at_home_are_used_up():
    given = district(
        tests=[lab_test("pcv", max_transport_hours=9)],
        methods=[method("spin", "pcv", need("centrifuge", hours=1))],
        device_models=[device_model("spinner", serves("centrifuge"), hours_per_year=60)],
        sites=[site("hill", demand={"pcv": 100}), site("lake")],
        stock=[stock("hill", "spinner", working=1), stock("lake", "spinner", working=1)],
        links=[link("hill", "lake")],
        limits=limits(max_units=0),
    )

    assert optimum(given) == 100


def test_a_specimen_stays_where_it_is_served_as_well_and_as_cheaply():
    given = district(
        tests=[lab_test("pcv", max_transport_hours=9)],
        sites=[site("hill", demand={"pcv": 100}), site("lake")],
        stock=[stock("hill", "spinner", working=1), stock("lake", "spinner", working=1)],
        links=[link("hill", "lake")],
    )

    assert [(volume.origin, volume.at) for volume in plan(given).volumes] == [("hill", "hill")]
