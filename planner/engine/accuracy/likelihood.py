"""How much a result shifts the odds of the condition."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from planner.engine.accuracy.estimates import PREVALENCE, SENSITIVITY, SPECIFICITY
from planner.engine.physics.quantities import Values


@dataclass(frozen=True)
class LikelihoodRatios:
    """Odds after the result over odds before it; infinite where no false result occurs."""

    positive: Values
    negative: Values


def likelihood_ratios(sensitivity: ArrayLike, specificity: ArrayLike) -> LikelihoodRatios:
    """LR+ = Se / (1 − Sp), LR− = (1 − Se) / Sp; NaN where it would be 0 / 0."""
    se, sp = SENSITIVITY.values(sensitivity), SPECIFICITY.values(specificity)
    with np.errstate(divide="ignore", invalid="ignore"):
        return LikelihoodRatios(np.divide(se, 1 - sp), np.divide(1 - se, sp))


def post_test(prevalence: ArrayLike, likelihood_ratio: ArrayLike) -> Values:
    """Probability after a result: odds before × likelihood ratio, as a share."""
    before, ratio = PREVALENCE.values(prevalence), np.asarray(likelihood_ratio, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(special.expit(special.logit(before) + np.log(ratio)), dtype=float)
