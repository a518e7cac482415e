"""Tests a year from the units that were used up, units for tests, and what to order."""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.demand.limits import DAYS_OUT, DAYS_PER_MONTH, PERIOD_MONTHS, SHARE, TESTS
from planner.engine.errors import InputError
from planner.engine.physics.quantities import Quantity, Values

MONTHS_PER_YEAR = 12.0

_UNITS = Quantity("units", "", 0, 1e12, above_zero=False)
_WAIT_MONTHS = Quantity("time", "months", 0, 600, "is this in days?", above_zero=False)
_PER_UNIT = Quantity("tests per unit", "", 0, 1e6)


def units_for_tests(
    tests: ArrayLike,
    quality_control_share: ArrayLike = 0.0,
    repeat_share: ArrayLike = 0.0,
    wastage_share: ArrayLike = 0.0,
) -> Values:
    """Commodity = tests × (1 + quality control + repeats + wastage), each a share of the tests."""
    return TESTS.values(tests) * _with_extra(quality_control_share, repeat_share, wastage_share)


def monthly_consumption(
    units_used: ArrayLike, period_months: ArrayLike, days_out_of_stock: ArrayLike = 0.0
) -> Values:
    """Average monthly consumption CA = CT ÷ (RM − DOS / 30.4), in units a month.

    CT: units used in the period; RM: its months; DOS: days out of stock. NaN where the
    stock was out all the time.

    Raises ``InputError`` for more days out of stock than the period has.

    Source: WHO guide on the management of tuberculosis drugs, consumption method.
    """
    months = PERIOD_MONTHS.values(period_months)
    out_months = DAYS_OUT.values(days_out_of_stock) / DAYS_PER_MONTH
    # A year of 366 days is 12.04 of these months: a day's grace for each month.
    if np.any(out_months > months * (1 + 1 / DAYS_PER_MONTH)):
        raise InputError(
            "consumption record",
            ["days out of stock: expected at most as many as the period has days"],
        )
    in_stock = months - out_months
    return _UNITS.values(units_used) / np.where(in_stock > 0, in_stock, np.nan)


def order_quantity(
    monthly_units: ArrayLike,
    lead_time_months: ArrayLike,
    procurement_period_months: ArrayLike,
    safety_stock_units: ArrayLike,
    on_hand_units: ArrayLike = 0.0,
    on_order_units: ArrayLike = 0.0,
) -> Values:
    """QO = CA × (LT + PP) + SS − (on hand + on order), and 0 where there is enough.

    Source: as ``monthly_consumption``; the basic safety stock is CA × LT.
    """
    months = _WAIT_MONTHS.values(lead_time_months) + _WAIT_MONTHS.values(procurement_period_months)
    wanted = _UNITS.values(monthly_units) * months + _UNITS.values(safety_stock_units)
    there = _UNITS.values(on_hand_units) + _UNITS.values(on_order_units)
    return np.maximum(wanted - there, 0.0)


def from_consumption(
    monthly_units: ArrayLike,
    tests_per_unit: ArrayLike = 1.0,
    quality_control_share: ArrayLike = 0.0,
    repeat_share: ArrayLike = 0.0,
    wastage_share: ArrayLike = 0.0,
) -> Values:
    """Tests a year = units a month × 12 × tests per unit ÷ (1 + control + repeats + wastage).

    Not every unit was used on somebody: the inverse of ``units_for_tests``.
    """
    served = _UNITS.values(monthly_units) * MONTHS_PER_YEAR * _PER_UNIT.values(tests_per_unit)
    return served / _with_extra(quality_control_share, repeat_share, wastage_share)


def _with_extra(*shares: ArrayLike) -> Values:
    total: Values = 1 + sum((SHARE.values(share) for share in shares), np.zeros(()))
    return total
