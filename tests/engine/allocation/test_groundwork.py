"""What the groundwork sets aside at a site, and what it must not."""

import numpy as np
import pytest

from planner.engine.allocation import plan
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import instance_of
from planner.engine.case import Case
from tests.factories.cases import (
    case,
    device_model,
    infrastructure,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    skill,
    stock,
)

SPIN = need("centrifuge", hours=1)


def ways(given: Case) -> list[str]:
    """Methods that are left at the first site."""
    instance = instance_of(given)
    return [instance.catalogue.methods[way] for way in ground(instance, 0).ways]


def quantities(given: Case) -> dict[tuple[str, str], int]:
    """What may still be done at the first site, and how often."""
    instance = instance_of(given)
    most = ground(instance, 0).most
    return {
        instance.catalogue.actions[action]: int(most[action]) for action in np.flatnonzero(most)
    }


def hours_rows(given: Case) -> list[tuple[float, list[float]]]:
    """Hours available, and hours added by each action that can be taken."""
    here = ground(instance_of(given), 0)
    return [(row.available, row.added[here.most > 0].tolist()) for row in here.hours]


def one_test(*methods, demand=100, **given) -> Case:
    lists = {
        "tests": [lab_test("pcv")],
        "methods": methods,
        "sites": [site(demand={"pcv": demand}, staff_hours=10)],
        "limits": limits(capital=1e6, max_units=9),
    }
    return case(**{**lists, **given})


def test_a_method_whose_need_nothing_meets_is_left_out():
    assert ways(one_test(method("spin", "pcv", need("centrifuge")), method("look", "pcv"))) == [
        "look"
    ]


def test_a_method_that_is_worth_nothing_is_left_out():
    assert ways(one_test(method("blind", "pcv", sensitivity=0))) == []


@pytest.mark.parametrize(
    ("change", "left"),
    [
        ({}, ["better"]),
        ({"consumable_cost": 0.9}, ["better", "worse"]),
        ({"staff_hours": 0.9}, ["better", "worse"]),
        ({"sensitivity": 0.95}, ["better", "worse"]),
        ({"skills": []}, ["better", "worse"]),
    ],
)
def test_a_method_is_left_out_only_if_another_is_no_worse_in_anything(change, left):
    good = {"sensitivity": 0.9, "consumable_cost": 1, "staff_hours": 1, "skills": ["optics"]}
    poor = {"sensitivity": 0.8, "consumable_cost": 2, "staff_hours": 2, "skills": ["optics"]}
    better, worse = method("better", "pcv", **good), method("worse", "pcv", **poor | change)

    assert ways(one_test(better, worse, skills=[skill("optics")])) == left


def test_staff_hours_do_not_matter_where_all_tests_fit():
    slow, fast = method("a-slow", "pcv", staff_hours=0.1), method("fast", "pcv", staff_hours=0.05)

    assert ways(one_test(slow, fast, demand=100)) == ["a-slow"]
    assert ways(one_test(slow, fast, demand=101)) == ["fast"]


def test_a_device_is_left_out_if_another_suits_as_much_for_no_more():
    given = one_test(
        method("spin", "pcv", need("centrifuge", rcf_g={"min": 500})),
        device_models=[
            device_model("fast", serves("centrifuge", rcf_g=4000), price=50),
            device_model("slow", serves("centrifuge", rcf_g=500), price=50),
        ],
    )

    assert quantities(given) == {("buy", "fast"): 1}


@pytest.mark.parametrize(
    "better",
    [
        {"price": 40},
        {"annual_cost": 4},
        {"hours_per_year": 2001},
        {"programmes": ["general"]},
    ],
)
def test_a_device_that_is_better_in_one_thing_stays(better):
    figures = {"price": 50, "annual_cost": 5, "hours_per_year": 2000}
    given = one_test(
        method("spin", "pcv", need("centrifuge", rcf_g={"min": 500}), sensitivity=0.9),
        method("spin-fast", "pcv", need("centrifuge", rcf_g={"min": 4000}), sensitivity=1),
        device_models=[
            device_model("fast", serves("centrifuge", rcf_g=4000), **figures),
            device_model("slow", serves("centrifuge", rcf_g=500), **figures | better),
        ],
        limits=limits(capital=1e6, earmarks={"general": 10}),
    )

    assert quantities(given) == {("buy", "fast"): 1, ("buy", "slow"): 1}


@pytest.mark.parametrize(("max_units", "left"), [(3, {"cheap"}), (2, {"cheap", "dear"})])
def test_a_dear_device_stays_where_the_cheap_one_may_not_be_bought_often_enough(max_units, left):
    """100 hours are asked for and a unit has 40: two units of the cheap one do not suffice."""
    given = one_test(
        method("spin", "pcv", SPIN),
        device_models=[
            device_model("cheap", serves("centrifuge"), price=50, hours_per_year=40),
            device_model("dear", serves("centrifuge"), price=60, hours_per_year=40),
        ],
        limits=limits(capital=1e6, max_units=max_units),
    )

    assert {item for _, item in quantities(given)} == left
    assert plan(given, gap=0).objective == 100


def test_a_repair_takes_the_place_of_a_purchase_that_does_no_more():
    given = one_test(
        method("spin", "pcv", need("centrifuge")),
        device_models=[device_model("spinner", serves("centrifuge"), price=50, repair_cost=20)],
        stock=[stock("hill", "spinner", broken=1)],
    )

    assert quantities(given) == {("repair", "spinner"): 1}


@pytest.mark.parametrize(("demand", "units"), [(40, 1), (41, 2), (80, 2), (81, 3)])
def test_no_more_units_are_considered_than_the_demand_could_use(demand, units):
    given = one_test(
        method("spin", "pcv", SPIN),
        demand=demand,
        device_models=[device_model("spinner", serves("centrifuge"), hours_per_year=40)],
    )

    assert quantities(given) == {("buy", "spinner"): units}


def test_working_units_take_their_part_of_the_demand():
    given = one_test(
        method("spin", "pcv", SPIN),
        device_models=[device_model("spinner", serves("centrifuge"), hours_per_year=40)],
        stock=[stock("hill", "spinner", working=2)],
    )

    assert quantities(given) == {("buy", "spinner"): 1}


def test_staff_who_manage_few_tests_need_few_units():
    """10 staff hours are 20 tests: one unit of 40 hours is enough for them."""
    given = one_test(
        method("spin", "pcv", SPIN, staff_hours=0.5),
        device_models=[device_model("spinner", serves("centrifuge"), hours_per_year=40)],
    )

    assert quantities(given) == {("buy", "spinner"): 1}


def test_nothing_is_considered_that_is_there_or_that_nobody_needs():
    given = one_test(
        method("spin", "pcv", need("centrifuge"), skills=["old"], infrastructure=["power"]),
        device_models=[
            device_model("spinner", serves("centrifuge")),
            device_model("scope", serves("microscope")),
        ],
        skills=[skill("old"), skill("idle")],
        infrastructure=[infrastructure("power", cost={"1": 5}), infrastructure("gas")],
        stock=[stock("hill", "spinner", working=1)],
        sites=[site(demand={"pcv": 100}, skills=["old"])],
    )

    assert quantities(given) == {("provide", "power"): 1}


@pytest.mark.parametrize(
    "limit", [{"capital": 49}, {"recurrent": 4}, {"capital": 49, "earmarks": {"general": 9}}]
)
def test_what_no_limit_allows_by_itself_is_left_out(limit):
    given = one_test(
        method("spin", "pcv", need("centrifuge")),
        device_models=[device_model("spinner", serves("centrifuge"), price=50, annual_cost=5)],
        limits=limits(**{"capital": 1e6, "max_units": 9} | limit),
    )

    assert quantities(given) == {}


def test_hours_that_one_unit_has_need_no_row():
    given = one_test(
        method("spin", "pcv", SPIN),
        device_models=[device_model("spinner", serves("centrifuge"), hours_per_year=100)],
    )

    assert hours_rows(given) == []


def test_hours_beyond_the_demand_are_cut_off():
    """30 of 100 hours are there; of a new unit's 90 hours only 70 can be used."""
    given = one_test(
        method("spin", "pcv", SPIN),
        device_models=[
            device_model("new", serves("centrifuge"), hours_per_year=90, price=1),
            device_model("old", serves("centrifuge"), hours_per_year=30, price=9),
        ],
        stock=[stock("hill", "old", working=1)],
    )

    assert hours_rows(given) == [(30, [70])]


def test_a_chain_of_grades_has_one_row_for_each_grade():
    grades = (400, 1000, 1500)
    given = case(
        tests=[lab_test(f"t{grade}") for grade in grades],
        methods=[
            method(f"m{grade}", f"t{grade}", need("scope", zoom={"min": grade}, hours=1))
            for grade in grades
        ],
        device_models=[
            device_model(f"d{grade}", serves("scope", zoom=grade), hours_per_year=30, price=grade)
            for grade in grades
        ],
        sites=[site(demand={f"t{grade}": 100 for grade in grades})],
        limits=limits(capital=1e6, max_units=1),
    )

    assert [len(added) for _, added in hours_rows(given)] == [3, 3, 3]
    assert [sum(hours > 0 for hours in added) for _, added in hours_rows(given)] == [1, 2, 3]
