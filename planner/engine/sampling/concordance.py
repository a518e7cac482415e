"""How far two people, or the register and a check, agree beyond what chance would give."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from planner.engine.errors import InputError
from planner.engine.physics.quantities import Values


@dataclass(frozen=True)
class Kappa:
    """``agreed``: share of items on which both say the same. ``value``: Cohen's kappa with its
    interval; NaN where both say one and the same of every item, so that chance explains all."""

    items: int
    agreed: float
    value: float
    low: float
    high: float


def kappa(table: ArrayLike, confidence: float = 0.95) -> Kappa:
    """Cohen's kappa of a square table of counts: rows one observer, columns the other.

    Variance of the large sample by Fleiss, Cohen and Everitt (1969). Raises ``InputError``
    unless the table is square, of whole counts, and holds an item.
    """
    counts = np.asarray(table, dtype=float)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1]:
        raise _refused("expected as many rows as columns")
    if not np.isfinite(counts).all() or (counts < 0).any() or (counts != np.floor(counts)).any():
        raise _refused("expected whole numbers of items")
    total = counts.sum()
    if total == 0:
        raise _refused("expected at least one item")
    shares = counts / total
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    agreed, chance = float(np.trace(shares)), float(rows @ columns)
    if chance >= 1:
        return Kappa(int(total), agreed, np.nan, np.nan, np.nan)
    value = (agreed - chance) / (1 - chance)
    z = float(stats.norm.ppf(0.5 + confidence / 2))
    half = z * math.sqrt(_variance(shares, value, chance) / float(total))
    return Kappa(int(total), agreed, value, max(-1.0, value - half), min(1.0, value + half))


def _variance(shares: Values, value: float, chance: float) -> float:
    """Variance of kappa times the number of items."""
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    agreeing = np.diag(shares)
    weight = columns[:, None] + rows[None, :]
    on = agreeing @ (1 - (rows + columns) * (1 - value)) ** 2
    off = (shares * weight**2).sum() - agreeing @ (rows + columns) ** 2
    spread = on + (1 - value) ** 2 * off - (value - chance * (1 - value)) ** 2
    return max(float(spread), 0.0) / (1 - chance) ** 2


def _refused(problem: str) -> InputError:
    return InputError("table of agreement", [f"counts: {problem}"])
