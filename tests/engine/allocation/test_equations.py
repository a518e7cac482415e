"""Each equation of the statement on a case so small that its optimum is plain arithmetic.

The numbers in the names are those of ``planner/docs/method.md``. Every optimum was worked
out by hand from the figures that stand in the test.
"""

from typing import Any

import pytest

from planner.engine.allocation import plan
from planner.engine.case import Case
from tests.factories.cases import (
    area,
    case,
    device_model,
    infrastructure,
    lab_test,
    limits,
    method,
    need,
    programme,
    serves,
    site,
    skill,
    stock,
)

SPINNER = device_model("spinner", serves("centrifuge", rcf_g=12_000), price=50, repair_cost=20)
NEEDS_SPINNER = method("spin", "pcv", need("centrifuge", rcf_g={"min": 10_000}))


def optimum(given: Case) -> float | None:
    return plan(given, gap=0).objective


def one_site(**given: Any) -> Case:
    """100 tests a year are asked for at one site; a spinner costs 50."""
    lists = {
        "tests": [lab_test("pcv")],
        "methods": [NEEDS_SPINNER],
        "device_models": [SPINNER],
        "sites": [site(demand={"pcv": 100})],
    }
    return case(**{**lists, **given})


@pytest.mark.parametrize(("capital", "tests"), [(50, 100), (49.99, 0)])
def test_1a_a_method_runs_where_a_suiting_unit_can_be_bought(capital, tests):
    assert optimum(one_site(limits=limits(capital=capital))) == tests


@pytest.mark.parametrize(("capital", "tests"), [(20, 100), (19.99, 0)])
def test_1a_a_method_runs_where_a_broken_unit_can_be_repaired(capital, tests):
    broken = [stock("hill", "spinner", broken=1)]

    assert optimum(one_site(stock=broken, limits=limits(capital=capital))) == tests


def test_1a_a_method_runs_where_a_unit_works_already():
    assert optimum(one_site(stock=[stock("hill", "spinner", working=1)])) == 100


@pytest.mark.parametrize(("grade", "tests"), [("B", 100), ("C", 0)])
def test_1a_a_unit_counts_from_the_minimum_grade_of_evidence(grade, tests):
    graded = SPINNER.model_copy(update={"evidence": grade})
    there = [stock("hill", "spinner", working=1, broken=1)]
    rich = limits(capital=1000)

    given = one_site(device_models=[graded], stock=there, limits=rich, minimum_evidence="B")

    assert optimum(given) == tests


@pytest.mark.parametrize(("capital", "tests"), [(90, 100), (89.99, 0)])
def test_1a_every_need_of_a_method_must_be_met(capital, tests):
    tube = device_model("tube", serves("rack"), price=40)
    both = method("spin", "pcv", need("centrifuge"), need("rack"))

    given = one_site(device_models=[SPINNER, tube], methods=[both], limits=limits(capital=capital))

    assert optimum(given) == tests


@pytest.mark.parametrize(("capital", "tests"), [(30, 100), (29.99, 0)])
def test_1b_a_skill_that_is_absent_must_be_trained(capital, tests):
    given = one_site(
        methods=[method("look", "pcv", skills=["optics"])],
        skills=[skill("optics", training_cost=30)],
        limits=limits(capital=capital),
    )

    assert optimum(given) == tests


@pytest.mark.parametrize(
    ("level", "capital", "tests"), [(1, 70, 100), (1, 69.99, 0), (2, 25, 100), (3, 10_000, 0)]
)
def test_1c_infrastructure_costs_what_it_costs_at_the_site_s_level(level, capital, tests):
    given = one_site(
        methods=[method("heat", "pcv", infrastructure=["power"])],
        infrastructure=[infrastructure("power", cost={"1": 70, "2": 25})],
        sites=[site(level=level, demand={"pcv": 100})],
        limits=limits(capital=capital),
    )

    assert optimum(given) == tests


def test_2_nobody_is_served_twice_by_two_methods():
    ready = [method("first", "pcv"), method("second", "pcv", sensitivity=0.9)]

    assert optimum(one_site(methods=ready)) == 100


def test_3_a_method_that_does_not_run_serves_nobody():
    dear = method("dear", "pcv", need("centrifuge"), sensitivity=1)
    poor = method("poor", "pcv", sensitivity=0.5)

    given = one_site(methods=[dear, poor], limits=limits(capital=49))

    assert optimum(given) == 50


def test_4_tests_stop_where_staff_hours_end():
    slow = [method("slow", "pcv", staff_hours=0.5)]

    given = one_site(methods=slow, sites=[site(demand={"pcv": 100}, staff_hours=40)])

    assert optimum(given) == 80


def test_4_staff_hours_go_to_the_tests_of_most_worth_for_an_hour():
    tests = [lab_test("pcv", weight=1), lab_test("smear", weight=5)]
    methods = [method("a", "pcv", staff_hours=0.1), method("b", "smear", staff_hours=1)]
    demand = {"pcv": 100, "smear": 100}

    given = one_site(tests=tests, methods=methods, sites=[site(demand=demand, staff_hours=30)])

    assert optimum(given) == 100 + 5 * 20  # 10 h for all of the first, 20 h for the second


@pytest.mark.parametrize(
    ("max_units", "capital", "tests"), [(1, 150, 40), (2, 150, 80), (3, 150, 100), (3, 149, 80)]
)
def test_5_tests_stop_where_the_hours_of_the_units_end(max_units, capital, tests):
    """A unit has 20 hours a year and a test takes half an hour: 40 tests a unit."""
    given = one_site(
        device_models=[SPINNER.model_copy(update={"hours_per_year": 20.0})],
        methods=[method("spin", "pcv", need("centrifuge", hours=0.5))],
        limits=limits(capital=capital, max_units=max_units),
    )

    assert optimum(given) == tests


@pytest.mark.parametrize(("broken", "tests"), [(1, 40), (2, 80)])
def test_5_no_more_units_are_repaired_than_are_broken(broken, tests):
    given = one_site(
        device_models=[SPINNER.model_copy(update={"hours_per_year": 20.0, "price": 1e6})],
        methods=[method("spin", "pcv", need("centrifuge", hours=0.5))],
        stock=[stock("hill", "spinner", broken=broken)],
        limits=limits(capital=1000),
    )

    assert optimum(given) == tests


def two_classes(*models: Any, working: dict[str, int]) -> Case:
    """100 tests on a centrifuge and 100 on a shaker, an hour each; nothing can be bought."""
    return case(
        tests=[lab_test("spun"), lab_test("shaken")],
        methods=[
            method("spin", "spun", need("centrifuge", hours=1)),
            method("shake", "shaken", need("shaker", hours=1)),
        ],
        device_models=models,
        sites=[site(demand={"spun": 100, "shaken": 100})],
        stock=[stock("hill", code, working=units) for code, units in working.items()],
        limits=limits(max_units=0),
    )


@pytest.mark.parametrize(("units", "tests"), [(1, 120), (2, 200)])
def test_5_a_model_that_serves_two_classes_spends_no_hour_twice(units, tests):
    both = device_model("both", serves("centrifuge"), serves("shaker"), hours_per_year=120)

    assert optimum(two_classes(both, working={"both": units})) == tests


def test_5_hours_of_a_model_with_two_classes_go_where_the_others_are_short():
    both = device_model("both", serves("centrifuge"), serves("shaker"), hours_per_year=50)
    spinner = device_model("spinner", serves("centrifuge"), hours_per_year=70)

    given = two_classes(both, spinner, working={"both": 1, "spinner": 1})

    assert optimum(given) == 70 + 50


def test_5_a_better_grade_does_the_work_of_the_lesser_but_not_the_other_way_round():
    """80 fine tests fill 80 of the fine unit's 100 hours; 20 + 50 coarse ones find place."""
    given = case(
        tests=[lab_test("fine"), lab_test("coarse")],
        methods=[
            method("f", "fine", need("microscope", magnification={"min": 1000}, hours=1)),
            method("c", "coarse", need("microscope", magnification={"min": 400}, hours=1)),
        ],
        device_models=[
            device_model("high", serves("microscope", magnification=1000), hours_per_year=100),
            device_model("low", serves("microscope", magnification=400), hours_per_year=50),
        ],
        sites=[site(demand={"fine": 80, "coarse": 100})],
        stock=[stock("hill", "high", working=1), stock("hill", "low", working=1)],
        limits=limits(max_units=0),
    )

    assert optimum(given) == 80 + 70


@pytest.mark.parametrize(("capital", "earmark", "tests"), [(20, 30, 100), (19, 30, 0), (20, 29, 0)])
def test_6_an_earmark_adds_to_the_capital_for_a_tagged_device(capital, earmark, tests):
    tagged = SPINNER.model_copy(update={"programmes": ("fever",)})

    given = one_site(
        programmes=[programme(), programme("fever")],
        device_models=[tagged],
        limits=limits(capital=capital, earmarks={"fever": earmark}),
    )

    assert optimum(given) == tests


def test_6_an_earmark_pays_for_no_device_without_its_tag():
    given = one_site(
        programmes=[programme(), programme("fever")], limits=limits(earmarks={"fever": 1000})
    )

    assert optimum(given) == 0


def test_6_an_earmark_pays_for_no_training():
    given = one_site(
        programmes=[programme(), programme("fever")],
        device_models=[SPINNER.model_copy(update={"programmes": ("fever",)})],
        methods=[method("spin", "pcv", need("centrifuge"), skills=["spinning"])],
        skills=[skill("spinning", training_cost=30)],
        limits=limits(capital=29, earmarks={"fever": 1000}),
    )

    assert optimum(given) == 0


@pytest.mark.parametrize(("heart", "tests"), [(10, 200), (9, 100)])
def test_6_two_earmarks_share_out_what_both_may_pay(heart, tests):
    """The tag of one device is fever, of the other fever and heart; each costs 50."""
    given = case(
        programmes=[programme(), programme("fever"), programme("heart")],
        tests=[lab_test("one"), lab_test("two")],
        methods=[method("m1", "one", need("first")), method("m2", "two", need("second"))],
        device_models=[
            device_model("d1", serves("first"), price=50, programmes=["fever"]),
            device_model("d2", serves("second"), price=50, programmes=["fever", "heart"]),
        ],
        sites=[site(demand={"one": 100, "two": 100})],
        limits=limits(earmarks={"fever": 90, "heart": heart}),
    )

    assert optimum(given) == tests


@pytest.mark.parametrize(("recurrent", "tests"), [(60, 60), (None, 100)])
def test_7_tests_stop_where_the_running_money_ends(recurrent, tests):
    costly = [method("strip", "pcv", consumable_cost=1)]

    assert optimum(one_site(methods=costly, limits=limits(recurrent=recurrent))) == tests


def test_7_tests_that_are_possible_today_cost_too():
    costly = [method("spin", "pcv", need("centrifuge"), consumable_cost=1)]
    working = [stock("hill", "spinner", working=1)]

    given = one_site(methods=costly, stock=working, limits=limits(recurrent=30))

    assert optimum(given) == 30


@pytest.mark.parametrize("bought", [True, False])
def test_7_upkeep_is_paid_for_units_bought_or_repaired(bought):
    kept = SPINNER.model_copy(update={"annual_cost": 40.0, "price": 0.0 if bought else 1e6})
    there = [] if bought else [stock("hill", "spinner", broken=1)]
    costly = [method("spin", "pcv", need("centrifuge"), consumable_cost=1)]
    money = limits(capital=20, recurrent=60)

    given = one_site(device_models=[kept], methods=costly, stock=there, limits=money)

    assert optimum(given) == 20


def test_7_supervision_is_paid_where_somebody_is_newly_trained():
    given = case(
        tests=[lab_test("pcv")],
        methods=[method("look", "pcv", skills=["optics"], consumable_cost=1)],
        skills=[skill("optics", supervision_cost=40)],
        sites=[
            site("new", demand={"pcv": 100}),
            site("old", demand={"pcv": 10}, skills=["optics"]),
        ],
        limits=limits(recurrent=60),
    )

    assert optimum(given) == 20  # 10 at the old site, and 60 − 40 − 10 at the new one


@pytest.mark.parametrize(("days", "tests"), [(10, 200), (9.9, 100), (4.9, 0), (None, 200)])
def test_8_training_stops_where_the_trainers_days_end(days, tests):
    given = case(
        tests=[lab_test("pcv")],
        methods=[method("look", "pcv", skills=["optics"])],
        skills=[skill("optics", trainer_days=5)],
        sites=[site("hill", demand={"pcv": 100}), site("lake", demand={"pcv": 100})],
        limits=limits(trainer_days=days),
    )

    assert optimum(given) == tests


@pytest.mark.parametrize(("floor", "tests"), [(0.0, 100), (0.01, 60), (1.0, 60)])
def test_9_a_floor_sends_the_money_where_it_does_less(floor, tests):
    """One unit can be bought: it does 100 tests in the east or 60 in the west."""
    given = one_site(
        areas=[area("east"), area("west", floor=floor)],
        sites=[
            site("big", area="east", demand={"pcv": 100}),
            site("small", area="west", demand={"pcv": 60}),
        ],
        limits=limits(capital=50),
    )

    assert optimum(given) == tests


@pytest.mark.parametrize(("floor", "found"), [(0.5, 50), (0.51, None)])
def test_9_a_floor_is_held_against_the_best_method_there_is_anywhere(floor, found):
    """The better method can be had nowhere, and still says what the area could get."""
    given = one_site(
        areas=[area(floor=floor)],
        methods=[method("poor", "pcv", sensitivity=0.5), method("best", "pcv", need("laser"))],
    )

    assert optimum(given) == found
