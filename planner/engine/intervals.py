"""Confidence intervals of a share: arrays in, arrays out.

``successes`` of ``trials``, whole numbers; NaN (not known) gives NaN, and so do no trials.
"""

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from planner.engine.errors import InputError
from planner.engine.physics.quantities import Quantity, Values

Bounds = tuple[Values, Values]

_COUNT = Quantity("count", "", 0, 2**53, above_zero=False)
_CONFIDENCE = Quantity("confidence", "", 0, 1, "is this in per cent? Divide by 100")


def wilson(successes: ArrayLike, trials: ArrayLike, confidence: float = 0.95) -> Bounds:
    """Score interval of a share (Wilson 1927; recommended by Newcombe 1998, without continuity).

    Close to the stated confidence on average, also for shares near 0 and 1.
    """
    met, tried = _counts(successes, trials)
    z = float(stats.norm.ppf(0.5 + float(_CONFIDENCE.values(confidence)) / 2))
    share = met / tried
    centre = share + z**2 / (2 * tried)
    half = z * np.sqrt(share * (1 - share) / tried + z**2 / (4 * tried**2))
    scale = 1 + z**2 / tried
    # The ends are exact where nothing, or everything, was met; rounding must not overstep them.
    low = np.where(met == 0, 0.0, (centre - half) / scale)
    high = np.where(met == tried, 1.0, (centre + half) / scale)
    return _known(low, tried), _known(high, tried)


def clopper_pearson(successes: ArrayLike, trials: ArrayLike, confidence: float = 0.95) -> Bounds:
    """Exact interval of a share (Clopper and Pearson 1934): never less than the confidence."""
    met, tried = _counts(successes, trials)
    tail = (1 - float(_CONFIDENCE.values(confidence))) / 2
    low = np.where(met == 0, 0.0, stats.beta.ppf(tail, met, tried - met + 1))
    high = np.where(met == tried, 1.0, stats.beta.ppf(1 - tail, met + 1, tried - met))
    return _known(low, tried), _known(high, tried)


def _counts(successes: ArrayLike, trials: ArrayLike) -> Bounds:
    """Both as floats of one shape; no trials at all are NaN."""
    met, tried = np.broadcast_arrays(_whole("successes", successes), _whole("trials", trials))
    if (met > tried).any():
        raise InputError("count", ["successes: expected no more than the trials"])
    return met, np.where(tried == 0, np.nan, tried)


def _whole(name: str, given: ArrayLike) -> Values:
    counts = _COUNT.values(given)
    broken = counts[~np.isnan(counts) & (counts != np.floor(counts))]
    if broken.size:
        raise InputError("count", [f"{name}: expected whole numbers, found {broken[0]:g}"])
    return counts


def _known(bound: Values, trials: Values) -> Values:
    return np.where(np.isnan(trials), np.nan, bound)
