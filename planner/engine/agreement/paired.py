"""A device against a reference on the same specimens: bias and limits of agreement.

J M Bland, D G Altman. Statistical methods for assessing agreement between two methods of
clinical measurement. Lancet 1986; 1: 307-310, and Measuring agreement in method comparison
studies. Statistical Methods in Medical Research 1999; 8: 135-160.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Self

import numpy as np
import scipy.stats

from planner.engine.agreement.readings import Place, Values, paired_values, row
from planner.engine.errors import InputError

Difference = Literal["absolute", "percent_of_mean", "percent_of_reference"]

NORMAL_95 = 1.96
"""Limits of agreement hold 95 % of normally distributed differences; the paper of 1986 uses 2."""

TOTAL_ERROR_SD = 1.65
"""One-sided 95 % of a normal distribution, as total error is usually reckoned."""


@dataclass(frozen=True)
class Interval:
    low: float
    high: float

    @classmethod
    def around(cls, middle: float, half: float) -> Self:
        return cls(middle - half, middle + half)


@dataclass(frozen=True)
class Trend:
    """Whether the difference grows with the amount: its correlation with the mean of both.

    ``None`` where the correlation does not exist: all differences, or all means, are equal.
    """

    correlation: float | None
    p_value: float | None
    slope: float | None

    @property
    def is_likely(self) -> bool:
        return self.p_value is not None and self.p_value < 0.05


@dataclass(frozen=True)
class Agreement:
    """Differences device − reference, in the unit measured or in per cent (``difference``).

    ``lower`` and ``upper`` are bias ∓ ``multiplier`` × SD; the intervals around them and
    around the bias have level ``confidence``. ``lowest`` and ``highest``: the reference's range.
    """

    n: int
    difference: Difference
    bias: float
    sd: float
    multiplier: float
    lower: float
    upper: float
    confidence: float
    bias_interval: Interval
    lower_interval: Interval
    upper_interval: Interval
    trend: Trend
    lowest: float
    highest: float


def bland_altman(
    device: Sequence[float],
    reference: Sequence[float],
    *,
    difference: Difference = "absolute",
    multiplier: float = NORMAL_95,
    confidence: float = 0.95,
    place: Place = row,
) -> Agreement:
    """Bias, its spread, and the limits between which most differences lie.

    ``device`` and ``reference``: amounts of the same n specimens in the same unit. SD has
    n − 1 degrees of freedom, intervals are Student's with as many; the standard error of a
    limit is SD · √(1/n + z² / (2 (n − 1))) (Bland and Altman 1999, section 3.2; for z = 1.96
    about the √(3/n) · SD of 1986).

    Raises ``InputError`` for lists that cannot be compared, and for a share of nothing.
    """
    measured, truth = paired_values(device, reference, place=place)
    differences = _differences(measured, truth, difference, place)
    n, bias, sd = differences.size, float(differences.mean()), float(differences.std(ddof=1))
    student = float(scipy.stats.t.ppf((1 + confidence) / 2, n - 1))
    of_bias = student * sd / np.sqrt(n)
    of_limit = student * sd * float(np.sqrt(1 / n + multiplier**2 / (2 * (n - 1))))
    lower, upper = bias - multiplier * sd, bias + multiplier * sd
    return Agreement(
        n=n,
        difference=difference,
        bias=bias,
        sd=sd,
        multiplier=multiplier,
        lower=lower,
        upper=upper,
        confidence=confidence,
        bias_interval=Interval.around(bias, float(of_bias)),
        lower_interval=Interval.around(lower, of_limit),
        upper_interval=Interval.around(upper, of_limit),
        trend=_trend(differences, (measured + truth) / 2),
        lowest=float(truth.min()),
        highest=float(truth.max()),
    )


def total_error(agreement: Agreement) -> float:
    """|bias| + 1.65 SD: what 19 of 20 single results stay within, in the agreement's unit."""
    return abs(agreement.bias) + TOTAL_ERROR_SD * agreement.sd


def sigma(agreement: Agreement, allowed: float) -> float:
    """How many SD fit between the bias and the ``allowed`` total error: (TEa − |bias|) / SD.

    Both in the agreement's unit; negative where the bias alone uses up what is allowed,
    infinite where nothing varies.
    """
    room = allowed - abs(agreement.bias)
    return room / agreement.sd if agreement.sd > 0 else float(np.copysign(np.inf, room))


def _differences(device: Values, reference: Values, kind: Difference, place: Place) -> Values:
    differences: Values = device - reference
    if kind == "absolute":
        return differences
    base = reference if kind == "percent_of_reference" else (device + reference) / 2
    nothing = np.flatnonzero(base == 0)
    if nothing.size:
        raise InputError(
            "list of paired readings",
            [
                f"{place(int(at))}: a difference from 0 has no per cent. Compare in the unit "
                "measured, or leave the specimen out"
                for at in nothing
            ],
        )
    percent: Values = 100 * differences / base
    return percent


def _trend(differences: Values, means: Values) -> Trend:
    if differences.size <= 2 or not (np.ptp(differences) and np.ptp(means)):
        return Trend(None, None, None)
    line = scipy.stats.linregress(means, differences)
    return Trend(float(line.rvalue), float(line.pvalue), float(line.slope))
