"""Figures of a sample of draws, each with how well it is known."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.stats import t as student

_CONFIDENCE = 0.95
_TAIL = 0.1


@dataclass(frozen=True)
class Spread:
    """``mean`` with the half width of its 95 % interval (Student's; 0 for a single draw),
    standard deviation, least, greatest, and the values that 10, 50 and 90 % do not exceed."""

    mean: float
    half_width: float
    deviation: float
    least: float
    p10: float
    p50: float
    p90: float
    greatest: float


def spread_of(values: Sequence[float]) -> Spread:
    """Figures of at least one value; quantiles between values are interpolated linearly."""
    sample = np.asarray(values, dtype=float)
    number = len(sample)
    deviation = float(sample.std(ddof=1)) if number > 1 else 0.0
    factor = float(student.ppf((1 + _CONFIDENCE) / 2, number - 1)) if number > 1 else 0.0
    p10, p50, p90 = (float(each) for each in np.quantile(sample, (0.1, 0.5, 0.9)))
    return Spread(
        mean=float(sample.mean()),
        half_width=factor * deviation / sqrt(number),
        deviation=deviation,
        least=float(sample.min()),
        p10=p10,
        p50=p50,
        p90=p90,
        greatest=float(sample.max()),
    )


def worst_tenth(values: Sequence[float]) -> float:
    """The mean of the lowest tenth of ``values`` (conditional value at risk).

    Where a tenth is no whole number of values the last one counts in part (R. T. Rockafellar,
    S. Uryasev, *J. Banking & Finance* 26 (2002) 1443–1471).
    """
    lowest = np.sort(np.asarray(values, dtype=float))
    size = _TAIL * len(lowest)
    weights = np.clip(size - np.arange(len(lowest)), 0.0, 1.0)
    return float(weights @ lowest / size)
