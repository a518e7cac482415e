"""What a device costs a year, and what a test then costs: arrays in, arrays out.

Constant prices and a real rate of interest throughout. A rate is a share a year (0.03, not
3), time is in years, and money is in one currency. A cost that is not known is NaN, and so
is what follows from it.
"""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import Quantity, Values

REAL_RATE = 0.03
"""Share a year: the usual base case of health economics; show 0, 0.05 and 0.10 beside it."""

_RATE = Quantity("rate", "a year", 0, 1, "is this in per cent? Divide by 100", above_zero=False)
_YEARS = Quantity("life", "years", 0, 200, "is this in months? Divide by 12")
_DELAY_YEARS = Quantity("time", "years", 0, 200, "is this in months?", above_zero=False)
_MONEY = Quantity("money", "", 0, 1e15, above_zero=False)
_TESTS = Quantity("tests a year", "", 0, 1e12, above_zero=False)
_ADDED_SHARE = Quantity(
    "addition to the price", "of it", 0, 10, "is this in per cent?", above_zero=False
)


def discount_factor(rate: ArrayLike, years: ArrayLike) -> Values:
    """Worth today of one unit of money paid after ``years``: (1 + r)⁻ⁿ."""
    return (1 + _RATE.values(rate)) ** -_DELAY_YEARS.values(years)


def annuity_factor(rate: ArrayLike, years: ArrayLike) -> Values:
    """Worth today of one unit of money at the end of each of ``years``: (1 − (1 + r)⁻ⁿ)/r.

    At a rate of 0 it is the number of years.
    """
    share, life = np.broadcast_arrays(_RATE.values(rate), _YEARS.values(years))
    with np.errstate(divide="ignore", invalid="ignore"):
        # expm1 and log1p keep the digits that a small rate would lose.
        factor = -np.expm1(-life * np.log1p(share)) / share
    return np.where(share == 0, life, factor)


def landed_price(price: ArrayLike, *additions: ArrayLike) -> Values:
    """Price with freight, insurance, duty and installation, each given as a share of it."""
    return _MONEY.values(price) * (1 + sum(_ADDED_SHARE.values(each) for each in additions))


def equivalent_annual_cost(
    price: ArrayLike, years: ArrayLike, rate: ArrayLike = REAL_RATE, resale: ArrayLike = 0.0
) -> Values:
    """Even yearly sum that pays ``price`` over the life and leaves ``resale`` at its end.

    (K − S (1 + r)⁻ⁿ) / a(r, n) (Drummond et al., Methods for the Economic Evaluation of
    Health Care Programmes; from memory). Upkeep and consumables come on top.
    """
    left = _MONEY.values(resale) * discount_factor(rate, years)
    return (_MONEY.values(price) - left) / annuity_factor(rate, years)


def cost_per_test(
    fixed_per_year: ArrayLike, variable_per_test: ArrayLike, tests_per_year: ArrayLike
) -> Values:
    """Fixed cost shared by the tests of a year, and what each test uses up; infinite for none.

    Steep where tests are few: show it over the volume, not as one number.
    """
    tests = _TESTS.values(tests_per_year)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = _MONEY.values(fixed_per_year) / tests
    return np.where(tests == 0, np.inf, share) + _MONEY.values(variable_per_test)


def break_even_tests(
    fixed_per_year: ArrayLike, variable_per_test: ArrayLike, referred_per_test: ArrayLike
) -> Values:
    """Tests a year from which testing on site costs no more than sending the specimen away.

    Infinite where a test on site uses up as much as sending it costs, or more.
    """
    saved = _MONEY.values(referred_per_test) - _MONEY.values(variable_per_test)
    with np.errstate(divide="ignore", invalid="ignore"):
        tests = _MONEY.values(fixed_per_year) / saved
    return np.where(saved <= 0, np.inf, tests)
