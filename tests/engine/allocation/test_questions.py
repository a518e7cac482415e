"""Each question of version 2 on a case so small that its optimum is plain arithmetic.

Every optimum was worked out by hand from the figures that stand in the test.
"""

from typing import Any

import pytest

from planner.engine.allocation.verify import verify
from planner.engine.case import Case
from tests.factories.cases import (
    case,
    device_model,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    stock,
)
from tests.factories.results import action, result
from tests.independent.judged import best


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
