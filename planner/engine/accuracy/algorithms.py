"""Several assays one after the other, or side by side, as one test.

Both rules take the errors of the assays as independent of each other, given whether the
person has the condition. Assays that err for the same reason do worse than this says.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.accuracy.estimates import PREVALENCE, SENSITIVITY, SPECIFICITY
from planner.engine.errors import InputError
from planner.engine.physics.quantities import Values


@dataclass(frozen=True)
class Algorithm:
    """An algorithm as a single test. Steps are the first axis of what it is made from.

    ``reached_with``, ``reached_without`` (steps, ...): share of the people with, and
    without, the condition for whom each step is done.
    """

    sensitivity: Values
    specificity: Values
    reached_with: Values
    reached_without: Values

    def assays_used(self, prevalence: ArrayLike) -> Values:
        """Assays of each step for one person tested; (steps, ...)."""
        share = PREVALENCE.values(prevalence)
        return share * self.reached_with + (1 - share) * self.reached_without


def serial(sensitivity: ArrayLike, specificity: ArrayLike) -> Algorithm:
    """Positive only if every assay is; each is done on the positives of the one before.

    As HIV is diagnosed: Se = Π Seᵢ, Sp = 1 − Π (1 − Spᵢ). Anything but all positive counts
    as negative here; programmes call some of these inconclusive and test again.
    """
    se, sp = _steps(sensitivity, specificity)
    # One unknown specificity leaves the whole unknown, whatever the others exclude.
    return Algorithm(se.prod(axis=0), 1 - (1 - sp).prod(axis=0), _before(se), _before(1 - sp))


def parallel(sensitivity: ArrayLike, specificity: ArrayLike) -> Algorithm:
    """Positive if any assay is; all are done: Se = 1 − Π (1 − Seᵢ), Sp = Π Spᵢ."""
    se, sp = _steps(sensitivity, specificity)
    everybody = np.ones_like(se)
    return Algorithm(1 - (1 - se).prod(axis=0), sp.prod(axis=0), everybody, everybody)


def _steps(sensitivity: ArrayLike, specificity: ArrayLike) -> tuple[Values, Values]:
    se, sp = np.broadcast_arrays(SENSITIVITY.values(sensitivity), SPECIFICITY.values(specificity))
    if se.ndim == 0 or len(se) == 0:
        raise InputError("algorithm", ["steps: expected one sensitivity or more, as a list"])
    return se, sp


def _before(positive: Values) -> Values:
    """Share that is positive in all steps before each; everybody reaches the first."""
    return np.concatenate([np.ones_like(positive[:1]), np.cumprod(positive[:-1], axis=0)])
