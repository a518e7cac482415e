"""Yearly cost of devices against printed tables and a financial library."""

import re

import numpy as np
import numpy_financial
import pytest

from planner.engine.costing import (
    annuity_factor,
    break_even_tests,
    cost_per_test,
    discount_factor,
    equivalent_annual_cost,
    landed_price,
)
from planner.engine.errors import InputError

ANNUITIES = [
    # rate, years, factor; standard annuity tables (from memory), four decimals
    (0.03, 1, 0.9709), (0.03, 2, 1.9135), (0.03, 3, 2.8286), (0.03, 5, 4.5797),
    (0.03, 7, 6.2303), (0.03, 10, 8.5302), (0.03, 15, 11.9379), (0.03, 20, 14.8775),
    (0.03, 25, 17.4131), (0.03, 30, 19.6004),
    (0.05, 1, 0.9524), (0.05, 5, 4.3295), (0.05, 10, 7.7217), (0.05, 20, 12.4622),
    (0.05, 30, 15.3725),
]  # fmt: skip
# A public appraisal annex of a finance ministry, table of factors at 3.5 % (seen).
DISCOUNTS = [
    (1, 0.9662), (2, 0.9335), (5, 0.8420), (6, 0.8135), (10, 0.7089), (15, 0.5969),
    (20, 0.5026), (30, 0.3563),
]  # fmt: skip


@pytest.mark.parametrize(("rate", "years", "expected"), ANNUITIES)
def test_the_annuity_factor_is_that_of_the_tables(rate, years, expected):
    factor = annuity_factor(rate, years)

    assert factor == pytest.approx(expected, abs=5e-5)
    assert factor == pytest.approx(-numpy_financial.pv(rate, years, 1), rel=1e-12)


@pytest.mark.parametrize(("years", "expected"), DISCOUNTS)
def test_the_discount_factor_at_three_and_a_half_per_cent_is_that_of_the_annex(years, expected):
    factor = discount_factor(0.035, years)

    assert factor == pytest.approx(expected, abs=5e-5)
    assert factor == pytest.approx(-numpy_financial.pv(0.035, years, 0, 1), rel=1e-12)


def test_ten_thousand_a_year_for_twenty_years_is_worth_what_the_annex_works_out():
    """142 339 in the annex (seen), whose factors were rounded: 0.2 %; 142 124 by the formula."""
    worth = 10_000 * annuity_factor(0.035, 20)

    assert worth == pytest.approx(142_339, rel=2e-3)
    assert worth == pytest.approx(142_124, abs=0.5)


def test_seventy_five_a_year_from_the_seventh_year_is_worth_what_the_annex_works_out():
    """704 in the annex (seen), rounded likewise: 15 payments, the first in year 7."""
    worth = 75 * annuity_factor(0.035, 15) * discount_factor(0.035, 6)

    assert worth == pytest.approx(704, rel=2e-3)


@pytest.mark.parametrize(
    ("price", "years", "expected"),
    [(10_000, 5, 2183.55), (10_000, 10, 1172.31), (1500, 7, 240.76)],
)
def test_the_equivalent_annual_cost_is_an_even_payment(price, years, expected):
    """Formula; reference: numpy-financial's payment on a loan."""
    cost = equivalent_annual_cost(price, years, 0.03)

    assert cost == pytest.approx(expected, abs=0.005)
    assert cost == pytest.approx(-numpy_financial.pmt(0.03, years, price), rel=1e-12)


def test_what_a_device_still_fetches_at_the_end_lowers_its_yearly_cost():
    """Reference: numpy-financial, with the resale as future value."""
    assert equivalent_annual_cost(1000, 8, 0.05, resale=200) == pytest.approx(
        -numpy_financial.pmt(0.05, 8, 1000, -200), rel=1e-12
    )


def test_a_landed_price_adds_each_share_of_the_price_once():
    assert landed_price(1200, 0.25) == 1500
    assert landed_price(1000, 0.1, 0.02, 0.05) == pytest.approx(1170)


def test_without_interest_the_price_is_spread_evenly():
    assert annuity_factor(0, 8) == 8
    assert equivalent_annual_cost(1000, 8, 0) == 125


def test_a_tiny_rate_is_close_to_none():
    assert annuity_factor(1e-12, 20) == pytest.approx(20, rel=1e-10)


def test_a_test_costs_its_share_of_what_is_fixed_and_what_it_uses():
    np.testing.assert_allclose(cost_per_test(300, 0.5, [100, 1000, 0]), [3.5, 0.8, np.inf])


def test_testing_on_site_pays_from_where_both_cost_the_same():
    volume = break_even_tests(312.76, 0.5, 2.0)

    assert cost_per_test(312.76, 0.5, volume) == pytest.approx(2.0)
    assert cost_per_test(312.76, 0.5, volume + 1) < 2.0 < cost_per_test(312.76, 0.5, volume - 1)


@pytest.mark.parametrize("referred", [0.5, 0.4])
def test_testing_on_site_never_pays_where_it_uses_as_much_as_sending_costs(referred):
    assert break_even_tests(300, 0.5, referred) == np.inf


def test_what_is_not_known_stays_unknown():
    assert np.isnan(equivalent_annual_cost(np.nan, 5))
    assert np.isnan(annuity_factor(0.03, np.nan))
    assert np.isnan(annuity_factor(np.nan, 5))


@pytest.mark.parametrize(
    ("work", "hint"),
    [
        (lambda: annuity_factor(3, 5), "rate: expected .* found 3 .*per cent"),
        (lambda: annuity_factor(-0.01, 5), "rate: expected"),
        (lambda: annuity_factor(0.03, 0), "life: expected a number above 0"),
        (lambda: discount_factor(0.03, -1), "time: expected"),
        (lambda: equivalent_annual_cost(-5, 5), "money: expected"),
        (lambda: landed_price(100, 25), "addition to the price: .*per cent"),
        (lambda: cost_per_test(1, 1, -1), "tests a year: expected"),
    ],
)
def test_impossible_figures_are_refused(work, hint):
    with pytest.raises(InputError) as refused:
        work()

    [problem] = refused.value.problems
    assert re.search(hint, problem)
