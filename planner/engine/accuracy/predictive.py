"""What a positive or a negative result means where the test is used.

With sensitivity Se, specificity Sp and prevalence P (Bayes):
PPV = Se P / (Se P + (1 − Sp)(1 − P)), NPV = Sp (1 − P) / (Sp (1 − P) + (1 − Se) P).
"""

from dataclasses import dataclass

import numpy as np
from scipy import special, stats

from planner.engine.accuracy.estimates import (
    PREVALENCE,
    SENSITIVITY,
    SPECIFICITY,
    Bools,
    Estimate,
    Share,
    taken,
)
from planner.engine.physics.quantities import Values

Z_95 = float(stats.norm.ppf(0.975))


@dataclass(frozen=True)
class PredictiveValues:
    """PPV and NPV with 95 % intervals.

    ``by_corners``: where the logit has no value (a share or an end is 0 or 1) the interval is
    that of the worst and the best ends together, which is too wide rather than too narrow.
    """

    positive: Estimate
    negative: Estimate
    by_corners: Bools


def predictive_values(
    sensitivity: Share, specificity: Share, prevalence: Share
) -> PredictiveValues:
    """PPV and NPV with 95 % intervals; whatever rests on something unknown is NaN.

    Intervals by the delta method on the logit (Mercaldo, Lau, Zhou, Statistics in Medicine
    2007;26:2170, equations 8-11). There the variances of logit Se and logit Sp are those of
    a study's counts; here they are read off the 95 % intervals, so that pooled figures can
    be used as well, and a prevalence that is itself uncertain adds its own. A prevalence
    without an interval is taken as known, as the paper does.
    """
    se = taken(sensitivity, SENSITIVITY)
    sp = taken(specificity, SPECIFICITY)
    known = taken(prevalence, PREVALENCE)
    p = _certain_if_alone(known)
    corners = ~(_has_logit(se) & _has_logit(sp) & _logit_or_certain(p))
    v_se, v_sp, v_p = _logit_variance(se), _logit_variance(sp), _logit_variance(p)
    # Without a logit a variance is infinite, and what is made of it is not used.
    with np.errstate(invalid="ignore"):
        of_positive = (1 - se.value) ** 2 * v_se + sp.value**2 * v_sp + v_p
        of_negative = se.value**2 * v_se + (1 - sp.value) ** 2 * v_sp + v_p
    positive = _logit_interval(_ppv(se.value, sp.value, p.value), of_positive)
    negative = _logit_interval(_npv(se.value, sp.value, p.value), of_negative)
    return PredictiveValues(
        _where(corners, _positive_corners(se, sp, p), positive),
        _where(corners, _negative_corners(se, sp, p), negative),
        np.broadcast_to(corners, positive.value.shape),
    )


def _ppv(se: Values, sp: Values, p: Values) -> Values:
    with np.errstate(invalid="ignore"):
        return np.divide(se * p, se * p + (1 - sp) * (1 - p))


def _npv(se: Values, sp: Values, p: Values) -> Values:
    with np.errstate(invalid="ignore"):
        return np.divide(sp * (1 - p), sp * (1 - p) + (1 - se) * p)


def _positive_corners(se: Estimate, sp: Estimate, p: Estimate) -> Estimate:
    """PPV grows with all three."""
    return Estimate(
        _ppv(se.value, sp.value, p.value),
        _ppv(se.low, sp.low, p.low),
        _ppv(se.high, sp.high, p.high),
    )


def _negative_corners(se: Estimate, sp: Estimate, p: Estimate) -> Estimate:
    """NPV grows with Se and Sp and falls with the prevalence."""
    return Estimate(
        _npv(se.value, sp.value, p.value),
        _npv(se.low, sp.low, p.high),
        _npv(se.high, sp.high, p.low),
    )


def _certain_if_alone(prevalence: Estimate) -> Estimate:
    alone = np.isnan(prevalence.low) & np.isnan(prevalence.high)
    return Estimate(
        prevalence.value,
        np.where(alone, prevalence.value, prevalence.low),
        np.where(alone, prevalence.value, prevalence.high),
    )


def _has_logit(share: Estimate) -> Bools:
    """Not at 0 or 1, where the logit is infinite; what is unknown stays unknown either way."""
    ends = (share.value, share.low, share.high)
    inside: Bools = np.logical_and.reduce([(end != 0) & (end != 1) for end in ends])
    return inside


def _logit_or_certain(prevalence: Estimate) -> Bools:
    certain: Bools = np.asarray(prevalence.low == prevalence.high)
    return _has_logit(prevalence) | certain


def _logit_variance(share: Estimate) -> Values:
    """Variance on the logit scale, from the width of the 95 % interval there."""
    with np.errstate(invalid="ignore"):
        width = special.logit(share.high) - special.logit(share.low)
    return np.where(share.low == share.high, 0.0, (width / (2 * Z_95)) ** 2)


def _logit_interval(value: Values, variance: Values) -> Estimate:
    value, variance = np.broadcast_arrays(value, variance)
    with np.errstate(invalid="ignore"):
        centre, half = special.logit(value), Z_95 * np.sqrt(variance)
        return Estimate(value, special.expit(centre - half), special.expit(centre + half))


def _where(condition: Bools, this: Estimate, other: Estimate) -> Estimate:
    pairs = zip(
        (this.value, this.low, this.high), (other.value, other.low, other.high), strict=True
    )
    return Estimate(*(np.where(condition, one, two) for one, two in pairs))
