"""What each budget achieves: plans and bounds over all budgets, held against single plans."""

from itertools import pairwise

import pytest

from planner.engine.allocation import Frontier, frontier, plan
from planner.engine.case import Case
from planner.engine.errors import NoPlanError
from tests.benchmarks.generator import generate_case
from tests.factories.cases import case, device_model, lab_test, limits, method, need, serves, site
from tests.independent.judged import changed

CLOSE = 1e-6


@pytest.fixture(scope="module")
def country() -> Case:
    def without_floors(document):
        for area in document["areas"]:
            area["floor"] = 0

    return changed(generate_case(40, 25, 2), without_floors)


@pytest.fixture(scope="module")
def found(country) -> Frontier:
    return frontier(country, points=9)


def with_capital(country: Case, capital: float) -> Case:
    def change(document):
        document["limits"]["capital"] = capital

    return changed(country, change)


def test_budgets_rise_from_nothing_to_all_that_is_of_use_and_worth_with_them(found):
    budgets = [point.budget for point in found.points]

    assert len(budgets) == 9
    assert budgets[0] == 0
    assert budgets[-1] == found.useful
    assert budgets == sorted(set(budgets))
    assert all(left.value <= right.value for left, right in pairwise(found.points))


def test_the_budget_of_the_case_is_among_them(country, found):
    assert country.limits.capital in [point.budget for point in found.points]


@pytest.mark.parametrize("number", [0, 2, 4, 6, 8])
def test_every_point_agrees_with_a_plan_of_its_own(country, found, number):
    """Neither the plan of the point nor a single plan exceeds what the other proves."""
    point = found.points[number]

    answer = plan(with_capital(country, point.budget), gap=1e-3)

    assert point.value <= answer.bound * (1 + CLOSE)
    assert answer.objective <= point.bound * (1 + CLOSE)
    assert point.gap < 0.02


def test_between_two_budgets_a_plan_brings_what_the_steps_allow(country, found):
    left, right = found.points[4], found.points[5]
    step = found.steps[4]

    gained = (
        plan(with_capital(country, right.budget), gap=1e-4).objective
        - plan(with_capital(country, left.budget), gap=1e-4).objective
    )

    per_1000 = gained / (right.budget - left.budget) * 1000
    error = 2e-4 * right.bound / (right.budget - left.budget) * 1000
    assert (step.start, step.end) == (left.budget, right.budget)
    assert step.least_per_1000 - error <= per_1000 <= step.most_per_1000 + error


def test_more_money_than_is_of_use_brings_nothing(country, found):
    answer = plan(with_capital(country, 3 * found.useful), gap=1e-3)

    assert answer.objective <= found.points[-1].bound * (1 + CLOSE)


def test_what_a_budget_between_two_points_surely_achieves_is_the_plan_of_the_lower(found):
    left, right = found.points[3], found.points[4]

    assert found.at_least((left.budget + right.budget) / 2) == left.value
    assert found.at_least(right.budget) == right.value


def steps_of(*costs: float) -> Case:
    """Each site is worth 100 tests once it has its device, at a price of its own."""
    codes = [f"s{number}" for number in range(len(costs))]
    return case(
        tests=[lab_test(code) for code in codes],
        methods=[method(f"with-{code}", code, need(code)) for code in codes],
        device_models=[
            device_model(code, serves(code), price=cost)
            for code, cost in zip(codes, costs, strict=True)
        ],
        sites=[site(code, demand={code: 100}) for code in codes],
        limits=limits(capital=150),
    )


def test_returns_diminish_where_more_money_begins_to_bring_less_than_on_average():
    """100 for 100, then 100 for 900: on average 200 for 1 000, so from 100 on it is less."""
    found = frontier(steps_of(100, 900), points=11, gap=0)

    assert [(point.budget, point.value) for point in found.points] == [
        (
            pytest.approx(100 * number),
            pytest.approx(0 if number == 0 else 100 + 100 * (number == 10)),
        )
        for number in range(11)
    ]
    assert found.diminishing == pytest.approx(100)
    assert (found.today, found.useful) == (0, 1000)


def test_where_no_budget_brings_anything_returns_diminish_nowhere():
    found = frontier(steps_of(0), points=3, gap=0)

    assert found.diminishing is None
    assert found.useful == 0


def test_without_time_there_is_no_frontier(country):
    with pytest.raises(NoPlanError) as refused:
        frontier(country, seconds=1e-9)

    assert refused.value.remedy == "Allow more time, or ask for fewer points."
