"""What share of the people has access."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import SHARE, Quantity, Values

PEOPLE = Quantity("people", "", 0, 1e11, "a population cannot be negative", above_zero=False)


@dataclass(frozen=True)
class WeightedShare:
    """Share of 0 to 1; ``share`` is NaN unless ``at_least`` and ``at_most`` are the same."""

    share: float
    at_least: float
    at_most: float


def weighted_coverage(people: ArrayLike, access: ArrayLike) -> WeightedShare:
    """Σ pᵢ aᵢ / Σ pᵢ over places with ``people`` pᵢ of whom a share ``access`` aᵢ is served.

    Where ``access`` is not known (NaN) the share lies between none and all of these people.
    Places whose people are not counted cannot be weighed: they make everything unknown.
    """
    weight, served = np.broadcast_arrays(PEOPLE.values(people), SHARE.values(access))
    total = weight.sum()
    if not total > 0:
        return WeightedShare(np.nan, np.nan, np.nan)
    low = _mean(weight, np.nan_to_num(served, nan=0.0), total)
    high = _mean(weight, np.nan_to_num(served, nan=1.0), total)
    return WeightedShare(low if low == high else np.nan, low, high)


def _mean(weight: Values, share: Values, total: float) -> float:
    return float((weight * share).sum() / total)
