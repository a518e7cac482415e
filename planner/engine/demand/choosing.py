"""Estimates held against each other, and the one to go by."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.engine.demand.limits import (
    DAYS_OUT,
    DAYS_PER_MONTH,
    DAYS_WITHOUT,
    PERIOD_MONTHS,
    SHARE,
)
from planner.engine.physics.quantities import Quantity, Values

MOST_APART = 2.0
"""Two estimates further apart than this factor are a question about the data. A judgement."""
COMPLETE_ENOUGH_SHARE = 0.8
MOST_DAYS_WITHOUT = 91.0
"""A quarter of a year. With the two shares below a judgement, stated openly."""
LONG_ENOUGH_MONTHS = 6.0
MOST_STOCK_OUT_SHARE = 0.25

BASES = ("service_statistics", "consumption", "morbidity")
"""In the order of preference, each where it is good enough; see ``choose``."""
SERVICE_STATISTICS, CONSUMPTION, MORBIDITY = range(3)
NO_BASIS = -1

Bools = NDArray[np.bool_]

# Wider than what can be counted: a slip in a record must be seen in its estimate, as a ratio.
_ESTIMATE = Quantity("estimate", "tests a year", 0, 1e24, above_zero=False)


def ratio(one: ArrayLike, other: ArrayLike) -> Values:
    """``one`` ÷ ``other``; 1 where both are 0, infinite where only ``other`` is, NaN if unknown."""
    first, second = np.broadcast_arrays(_ESTIMATE.values(one), _ESTIMATE.values(other))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((first == 0) & (second == 0), 1.0, first / second)


def disagrees(ratio_of_two: ArrayLike) -> Bools:
    """Whether two estimates are further apart than a factor of two, either way; unknown: no."""
    value = np.asarray(ratio_of_two, dtype=float)
    with np.errstate(invalid="ignore"):
        apart: Bools = (value > MOST_APART) | (value < 1 / MOST_APART)
    return apart


def spread(estimates: ArrayLike) -> Values:
    """Largest ÷ smallest estimate along the last axis; NaN where fewer than two are known."""
    values = _ESTIMATE.values(estimates)
    known = ~np.isnan(values)
    largest = np.where(known, values, -np.inf).max(axis=-1)
    smallest = np.where(known, values, np.inf).min(axis=-1)
    comparable = known.sum(axis=-1) >= 2
    return ratio(np.where(comparable, largest, np.nan), np.where(comparable, smallest, np.nan))


def service_statistics_hold(completeness_share: ArrayLike, days_without: ArrayLike) -> Bools:
    """Good enough to be preferred: at least 80 % reported, at most 91 days without the test."""
    complete = SHARE.values(completeness_share) >= COMPLETE_ENOUGH_SHARE
    holds: Bools = complete & (DAYS_WITHOUT.values(days_without) <= MOST_DAYS_WITHOUT)
    return holds


def consumption_holds(period_months: ArrayLike, days_out_of_stock: ArrayLike) -> Bools:
    """Good enough: a period of six months or more, out of stock for at most a quarter of it."""
    months = PERIOD_MONTHS.values(period_months)
    out_months = DAYS_OUT.values(days_out_of_stock) / DAYS_PER_MONTH
    holds: Bools = (months >= LONG_ENOUGH_MONTHS) & (out_months <= MOST_STOCK_OUT_SHARE * months)
    return holds


@dataclass(frozen=True)
class Choice:
    """The estimate to go by: position in ``BASES`` (``NO_BASIS``: none), its tests a year.

    ``weak``: only figures that are not good enough were to be had.
    """

    basis: NDArray[np.int8]
    tests_per_year: Values
    weak: Bools


def choose(estimates: ArrayLike, holds: ArrayLike) -> Choice:
    """Which of the three estimates to go by, last axis in the order of ``BASES``.

    The first that is known and good enough of: service statistics, consumption, morbidity;
    if none is, the first that is known, and the choice is weak. ``holds`` says which are
    good enough; morbidity has no test of its own, so it is as good as its rates.

    Recorded tests come first because they count people; units come second because stock
    cards are kept for money's sake even where registers are not; rates come last because
    they are usually another country's.
    """
    values, good = _ESTIMATE.values(estimates), np.asarray(holds, dtype=bool)
    known = ~np.isnan(values)
    sound = known & good
    weak = ~sound.any(axis=-1) & known.any(axis=-1)
    candidates = np.where(weak[..., None], known, sound)
    first = candidates.argmax(axis=-1)
    found = candidates.any(axis=-1)
    chosen = np.take_along_axis(values, first[..., None], axis=-1)[..., 0]
    return Choice(
        basis=np.where(found, first, NO_BASIS).astype(np.int8),
        tests_per_year=np.where(found, chosen, np.nan),
        weak=weak,
    )
