"""The three estimates of demand: what each does at its limits, and which is gone by."""

import numpy as np
import pytest

from planner.engine import demand
from planner.engine.errors import InputError

NAN = np.nan


def problem(call, *arguments) -> str:
    with pytest.raises(InputError) as refused:
        call(*arguments)
    return refused.value.problems[0]


def test_recorded_tests_grow_with_demand_and_with_what_was_not_seen():
    found = demand.from_service_statistics([100, 100, 100], [1, 0.8, 1], [0, 0, 73], 0.02)

    assert found.tolist() == pytest.approx([102, 127.5, 127.5])


def test_a_test_that_was_away_on_every_day_but_one_still_says_something():
    assert demand.from_service_statistics(1, 1, 364) == pytest.approx(365)


@pytest.mark.parametrize(("completeness", "days"), [(0, 0), (1, 365), (1, 366)])
def test_nothing_seen_gives_an_unknown_estimate_and_not_none(completeness, days):
    assert np.isnan(demand.from_service_statistics(0, completeness, days))


def test_unknown_figures_give_unknown_estimates():
    assert np.isnan(demand.from_service_statistics(NAN, 1, 0))
    assert np.isnan(demand.from_morbidity(NAN, 1))
    assert np.isnan(demand.monthly_consumption(NAN, 12))


def test_stock_out_all_the_time_gives_an_unknown_consumption():
    assert np.isnan(demand.monthly_consumption(0, 1, 30.4))
    assert demand.monthly_consumption(10, 1, 15.2) == pytest.approx(20)


@pytest.mark.parametrize("days", [372, 31])
def test_more_days_out_of_stock_than_the_period_has_are_refused(days):
    months = 12 if days > 31 else 0.9

    said = problem(demand.monthly_consumption, 100, months, days + 10)

    assert said == "days out of stock: expected at most as many as the period has days"


def test_a_leap_year_out_of_stock_is_not_refused():
    assert np.isnan(demand.monthly_consumption(0, 12, 366))


@pytest.mark.parametrize(
    ("call", "arguments", "said"),
    [
        (demand.from_service_statistics, (-1, 1, 0), "tests: expected a number of at least 0"),
        (demand.from_service_statistics, (1, 80, 0), "share: expected a number of at least 0"),
        (demand.from_service_statistics, (1, 1, 367), "days without the test: expected a number"),
        (demand.from_service_statistics, (1, 1, 0, 2.5), "growth: expected a number above -0.5"),
        (demand.from_morbidity, (-5, 1), "population: expected a number of at least 0"),
        (demand.from_morbidity, (5, 120), "episodes: expected a number of at least 0"),
        (demand.monthly_consumption, (1, 0, 0), "period: expected a number above 0"),
        (demand.from_consumption, (1, 0), "tests per unit: expected a number above 0"),
        (demand.expected_pregnancies, (1000, 250), "crude birth rate: expected a number"),
        (demand.order_quantity, (1, -1, 1, 0), "time: expected a number of at least 0"),
    ],
)
def test_impossible_figures_are_refused_by_name(call, arguments, said):
    assert problem(call, *arguments).startswith(said)


def test_a_share_in_per_cent_is_refused_with_the_slip_named():
    said = problem(demand.from_service_statistics, 1, 80, 0)

    assert said.endswith("found 80 (is this in per cent? Divide by 100)")


def test_nothing_is_ordered_where_enough_is_there():
    assert demand.order_quantity(100, 1, 1, 0, 200).tolist() == 0
    assert demand.order_quantity(100, 1, 1, 0, 199).tolist() == 1
    assert demand.order_quantity(100, 1, 1, 0, 0, 150).tolist() == 50


RATIOS = [(2, 1, 2, False), (2.01, 1, 2.01, True), (1, 2, 0.5, False), (1, 2.01, 1 / 2.01, True)]


@pytest.mark.parametrize(("one", "other", "expected", "flagged"), RATIOS)
def test_twice_is_not_a_disagreement_and_more_than_twice_is(one, other, expected, flagged):
    found = demand.ratio(one, other)

    assert found == pytest.approx(expected)
    assert demand.disagrees(found) == flagged


def test_none_against_some_disagrees_and_none_against_none_does_not():
    ratios = demand.ratio([0, 5, 0, NAN], [5, 0, 0, 5])

    assert ratios.tolist()[:3] == [0, np.inf, 1]
    assert demand.disagrees(ratios).tolist() == [True, True, False, False]


def test_the_spread_is_the_largest_over_the_smallest_of_what_is_known():
    found = demand.spread([[100, 150, 60], [100, NAN, 80], [100, NAN, NAN], [NAN, NAN, NAN]])

    assert found[:2].tolist() == [2.5, 1.25]
    assert np.isnan(found[2:]).all()


@pytest.mark.parametrize(
    ("completeness", "days", "holds"),
    [(0.8, 0, True), (0.79, 0, False), (1, 91, True), (1, 92, False)],
)
def test_statistics_hold_from_80_per_cent_and_to_91_days(completeness, days, holds):
    assert demand.service_statistics_hold(completeness, days) == holds


@pytest.mark.parametrize(
    ("months", "days", "holds"),
    [(6, 0, True), (5.9, 0, False), (12, 91, True), (12, 92, False)],
)
def test_consumption_holds_from_six_months_and_to_a_quarter_out_of_stock(months, days, holds):
    assert demand.consumption_holds(months, days) == holds


CHOICES = [
    # service, consumption, morbidity; which hold; basis, tests a year, weak
    ((10, 20, 30), (True, True, True), ("service_statistics", 10, False)),
    ((10, 20, 30), (False, True, True), ("consumption", 20, False)),
    ((10, 20, 30), (False, False, True), ("morbidity", 30, False)),
    ((NAN, 20, 30), (True, True, True), ("consumption", 20, False)),
    ((10, 20, NAN), (False, False, True), ("service_statistics", 10, True)),
    ((NAN, 20, NAN), (False, False, True), ("consumption", 20, True)),
    ((0, 20, 30), (True, True, True), ("service_statistics", 0, False)),
]


@pytest.mark.parametrize(("estimates", "holds", "expected"), CHOICES)
def test_the_first_that_is_good_enough_is_chosen_else_the_first_there_is(
    estimates, holds, expected
):
    chosen = demand.choose([estimates], [holds])

    found = (demand.BASES[chosen.basis[0]], chosen.tests_per_year[0], chosen.weak[0])
    assert found == expected


def test_without_any_estimate_nothing_is_chosen():
    chosen = demand.choose([[NAN, NAN, NAN]], [[True, True, True]])

    assert chosen.basis.tolist() == [demand.NO_BASIS]
    assert np.isnan(chosen.tests_per_year).all()
    assert chosen.weak.tolist() == [False]
