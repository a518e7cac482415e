"""Each question of version 2 on a case so small that its optimum is plain arithmetic.

Every optimum was worked out by hand from the figures that stand in the test.
"""

from typing import Any

import pytest

from planner.engine.allocation import plan
from planner.engine.allocation.explain import reasons
from planner.engine.allocation.verify import verify
from planner.engine.case import Case
from planner.engine.errors import InputError
from tests.factories.cases import (
    case,
    device_model,
    fixed,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    skill,
    stock,
)
from tests.factories.results import action, result, volume
from tests.independent.judged import best, judged_plan


def spinner(**given: Any):
    return device_model(
        "spinner", serves("centrifuge"), **{"price": 50, "hours_per_year": 10, **given}
    )


def one_site(**given: Any) -> Case:
    """100 tests of 1 machine hour are asked for at one site; a spinner costs 50 and has 10 h."""
    lists = {
        "tests": [lab_test("pcv")],
        "methods": [method("spin", "pcv", need("centrifuge", hours=1))],
        "device_models": [spinner()],
        "sites": [site(demand={"pcv": 100})],
        "limits": limits(capital=1000, max_units=4),
    }
    return case(**{**lists, **given})


@pytest.mark.parametrize(("max_units", "tests"), [(None, 40), (0, 0), (1, 10), (6, 60)])
def test_a_model_may_be_bought_in_its_own_number_or_else_in_that_of_all_models(max_units, tests):
    assert best(one_site(device_models=[spinner(max_units=max_units)])) == tests


def test_a_model_that_is_never_bought_still_works_where_it_stands_and_is_repaired():
    given = one_site(
        device_models=[spinner(max_units=0)], stock=[stock("hill", "spinner", working=1, broken=1)]
    )

    assert best(given) == 20


@pytest.mark.parametrize(("quantity", "rules"), [(1, []), (2, ["quantity"])])
def test_the_judge_refuses_more_units_than_the_model_allows(quantity, rules):
    given = one_site(device_models=[spinner(price=0, max_units=1)])
    claimed = result(given, actions=(action("hill", "buy", "spinner", quantity=quantity),))

    assert [wrong.rule for wrong in verify(given, claimed)] == rules


@pytest.mark.parametrize(("uptime", "tests"), [(1, 10), (0.7, 7), (0, 0)])
def test_a_unit_gives_the_hours_in_which_it_is_up(uptime, tests):
    given = one_site(
        device_models=[spinner(uptime=uptime)], stock=[stock("hill", "spinner", working=1)],
        limits=limits(),
    )  # fmt: skip

    assert best(given) == pytest.approx(tests)


@pytest.mark.parametrize(
    ("success", "broken", "hours", "tests"),
    [(1, 1, 0, 100), (0.6, 1, 0, 60), (0.6, 2, 0, 100), (0, 2, 0, 0), (0.6, 1, 1, 6)],
)
def test_a_repair_counts_as_that_many_units_in_expectation(success, broken, hours, tests):
    given = one_site(
        methods=[method("spin", "pcv", need("centrifuge", hours=hours))],
        device_models=[spinner(repair_success=success, max_units=0)],
        stock=[stock("hill", "spinner", broken=broken)],
    )

    assert best(given) == pytest.approx(tests)


def test_two_ways_that_hang_on_the_same_unsure_repair_share_what_it_gives():
    given = one_site(
        methods=[method(code, "pcv", need("centrifuge")) for code in ("slow", "quick")],
        device_models=[spinner(repair_success=0.6, max_units=0)],
        stock=[stock("hill", "spinner", broken=1)],
    )

    assert best(given) == pytest.approx(60)


def repaired(per_year: float):
    given = one_site(
        methods=[method("spin", "pcv", need("centrifuge"))],
        device_models=[spinner(repair_success=0.6)],
        stock=[stock("hill", "spinner", broken=1)],
    )
    return given, result(
        given,
        objective=per_year,
        actions=(action("hill", "repair", "spinner"),),
        volumes=(volume("hill", "hill", "spin", per_year),),
    )


@pytest.mark.parametrize(("per_year", "rules"), [(60, []), (60.1, ["repair"])])
def test_the_judge_refuses_more_tests_than_the_repairs_are_likely_to_give(per_year, rules):
    assert [wrong.rule for wrong in verify(*repaired(per_year))] == rules


TRAINED = {
    "methods": [method("spin", "pcv", skills=["spinning"])],
    "skills": [skill("spinning", supervision_cost=40)],
}


@pytest.mark.parametrize(("share", "tests"), [(1, 0), (0.75, 100), (0, 100)])
def test_supervision_is_paid_for_the_share_of_training_that_gets_it(share, tests):
    given = one_site(**TRAINED, limits=limits(supervised_share=share, recurrent=30))

    assert best(given) == tests


@pytest.mark.parametrize(("stated", "rules"), [(30, []), (40, ["recurrent-stated"])])
def test_the_judge_counts_the_supervision_that_is_paid(stated, rules):
    given = one_site(**TRAINED, limits=limits(supervised_share=0.75))
    claimed = result(
        given,
        actions=(action("hill", "train", "spinning"),),
        money={"capital": 0.0, "recurrent": stated, "earmarks": {}},
    )

    assert [wrong.rule for wrong in verify(given, claimed)] == rules


@pytest.mark.parametrize(
    ("least", "most", "tests"), [(0, None, 40), (0, 0, 0), (0, 2, 20), (4, None, 40)]
)
def test_a_fixed_action_is_taken_neither_too_seldom_nor_too_often(least, most, tests):
    bought = fixed("hill", "buy", "spinner", at_least=least, at_most=most)

    assert best(one_site(fixed=[bought])) == tests


def test_an_action_that_must_be_taken_is_taken_though_nobody_needs_it():
    bought = fixed("hill", "buy", "spinner", at_least=3)

    answer = judged_plan(one_site(fixed=[bought], sites=[site()]))

    assert [(each.item, each.quantity) for each in answer.actions] == [("spinner", 3)]
    [reason] = reasons(one_site(fixed=[bought], sites=[site()]), answer)
    assert reason.text == "Asked for: at least 3. No test of this plan needs it."


def test_money_that_does_not_pay_for_what_must_be_done_is_named_as_the_reason():
    given = one_site(
        fixed=[fixed("hill", "buy", "spinner", at_least=3)], limits=limits(capital=120, max_units=4)
    )

    answer = judged_plan(given)

    assert (answer.status, answer.objective_before) == ("infeasible", 0)
    assert [(each.limit, each.needed) for each in answer.reasons] == [("limits.capital", 150)]


@pytest.mark.parametrize(
    ("asked", "line"),
    [
        (fixed("hill", "buy", "spinner", at_least=5),
         "fixed[0].at_least: buy spinner at hill is possible 4 times at most, found 5"),
        (fixed("hill", "repair", "spinner", at_least=1),
         "fixed[0].at_least: repair spinner at hill is possible 0 times at most, found 1"),
    ],
)  # fmt: skip
def test_an_action_that_its_site_cannot_take_is_refused_with_its_place(asked, line):
    with pytest.raises(InputError) as refused:
        plan(one_site(fixed=[asked]))

    assert refused.value.problems == (line,)


@pytest.mark.parametrize(("quantity", "rules"), [(0, ["fixed"]), (1, []), (2, []), (3, ["fixed"])])
def test_the_judge_refuses_a_fixed_action_taken_too_seldom_or_too_often(quantity, rules):
    given = one_site(
        device_models=[spinner(price=0)],
        fixed=[fixed("hill", "buy", "spinner", at_least=1, at_most=2)],
    )
    taken = (action("hill", "buy", "spinner", quantity=quantity),) if quantity else ()

    assert [wrong.rule for wrong in verify(given, result(given, actions=taken))] == rules
