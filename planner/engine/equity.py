"""How ready facilities are, who is covered, and how evenly: indicators by their trade names.

Readiness is a mean of items, availability a median of tests: they are two figures, never one.
Weights are people (or births, or sites); a value that is not known takes its weight with it.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics.quantities import Quantity, Values

_SHARE = Quantity("share", "", 0, 1, "is this in per cent? Divide by 100", above_zero=False)
_WEIGHT = Quantity("weight", "", 0, 1e15, above_zero=False)


def readiness(items: ArrayLike) -> float:
    """Mean over tracer items of the share of facilities that have each, working, today.

    Service availability and readiness assessment (WHO): a mean. NaN without a known item.
    """
    shares = _known(_SHARE.values(items))
    return float(shares.mean()) if shares.size else np.nan


def availability(tests: ArrayLike) -> float:
    """Median over tests of the share of facilities that offer each.

    Not to be set beside ``readiness``: of the same figures a median may lie far from a mean.
    """
    shares = _known(_SHARE.values(tests))
    return float(np.median(shares)) if shares.size else np.nan


def all_items(present: ArrayLike) -> float:
    """Share of facilities (rows) that have every item (columns); unknown counts as not."""
    table = np.asarray(present, dtype=float)
    if table.ndim != 2 or not table.size:
        return np.nan
    return float((table == 1).all(axis=1).mean())


def weighted_coverage(access: ArrayLike, people: ArrayLike) -> float:
    """Share of the people who have access: Σ people · access / Σ people."""
    shares, weights = _pairs(_SHARE.values(access), people)
    return float(np.average(shares, weights=weights)) if weights.sum() > 0 else np.nan


def gini(values: ArrayLike, weights: ArrayLike | None = None) -> float:
    """Gini index Σᵢⱼ wᵢ wⱼ |xᵢ − xⱼ| / (2 μ), from 0, all alike, to 1; NaN for a mean of 0."""
    amounts = np.asarray(values, dtype=float)
    amounts, shares = _pairs(amounts, np.ones_like(amounts) if weights is None else weights)
    if (amounts < 0).any():
        raise InputError("indicator", ["values: expected numbers of at least 0 for a Gini index"])
    order = np.argsort(amounts, kind="stable")
    amounts, shares = amounts[order], shares[order] / shares.sum()
    mean = float(amounts @ shares)
    if mean == 0:
        return np.nan
    # Twice the covariance of value and mean rank: the double sum without its n² terms.
    return float(2 * (shares * amounts) @ _ranks(shares) / mean - 1)


@dataclass(frozen=True)
class Concentration:
    """Concentration index of an indicator over groups from worst off to best off.

    Below 0 the indicator is concentrated among the worst off. ``wagstaff`` and ``erreygers``
    are for shares from 0 to 1, whose plain index depends on their mean; else NaN.
    """

    index: float
    wagstaff: float
    erreygers: float


def concentration(
    values: ArrayLike, weights: ArrayLike, *, of: Literal["amount", "share"] = "amount"
) -> Concentration:
    """2 cov(h, r)/μ with the mean rank r of each group (Kakwani, Wagstaff and van Doorslaer).

    ``values`` stand in order from the worst off; ``weights`` are the sizes of the groups.
    """
    known, sizes = _pairs(np.asarray(values, dtype=float), weights)
    shares = sizes / sizes.sum()
    mean = float(known @ shares)
    if mean == 0:
        return Concentration(np.nan, np.nan, np.nan)
    index = float(2 * (shares * known) @ _ranks(shares) / mean - 1)
    if of == "amount":
        return Concentration(index, np.nan, np.nan)
    _SHARE.values(known)
    return Concentration(index, index / (1 - mean) if mean < 1 else np.nan, 4 * mean * index)


@dataclass(frozen=True)
class Slope:
    """Difference, and ratio, between the best off and the worst off on a fitted line.

    ``model`` says which line: indices of different models must not be compared.
    """

    difference: float
    ratio: float
    model: str


def slope(values: ArrayLike, weights: ArrayLike) -> Slope:
    """Slope index of inequality: weighted least squares of the value on the mean rank.

    The fitted value at rank 1 minus that at rank 0, and their ratio (NaN where rank 0 is not
    above 0). For shares near 0 or 1 a logistic model is usual; this one is linear.
    """
    known, sizes = _pairs(np.asarray(values, dtype=float), weights)
    shares = sizes / sizes.sum()
    ranks = _ranks(shares)
    rank, mean = float(ranks @ shares), float(known @ shares)
    spread = float(shares @ (ranks - rank) ** 2)
    if spread == 0:
        return Slope(np.nan, np.nan, _LINEAR)
    steep = float(shares @ ((ranks - rank) * (known - mean))) / spread
    worst = mean - steep * rank
    return Slope(steep, (worst + steep) / worst if worst > 0 else np.nan, _LINEAR)


_LINEAR = "linear, weighted least squares on mean ranks"


def _ranks(shares: Values) -> Values:
    """Mean rank of each group: the share of people before it, and half its own."""
    return np.cumsum(shares) - shares / 2


def _pairs(values: Values, weights: ArrayLike) -> tuple[Values, Values]:
    """Values and weights where both are known."""
    sizes = _WEIGHT.values(weights)
    if values.shape != sizes.shape or values.ndim != 1:
        raise InputError("indicator", ["values and weights: expected two lists of one length"])
    known = ~np.isnan(values) & ~np.isnan(sizes)
    return values[known], sizes[known]


def _known(values: Values) -> Values:
    return values[~np.isnan(values)]
