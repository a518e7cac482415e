"""What the accuracy of a test means where it is used: results, predictive values, choices.

Arrays in, arrays out; shares are 0 to 1, volumes per year, NaN is "not known" and stays so.
A value that cannot exist is refused with ``InputError``. An unknown specificity leaves
everything that rests on it unknown; it is never taken as 1.
"""

from planner.engine.accuracy.algorithms import Algorithm, parallel, serial
from planner.engine.accuracy.estimates import Estimate, estimate, from_counts
from planner.engine.accuracy.likelihood import LikelihoodRatios, likelihood_ratios, post_test
from planner.engine.accuracy.outcomes import (
    Choice,
    Comparison,
    MissedCases,
    Outcomes,
    compare,
    missed_cases,
    outcomes,
)
from planner.engine.accuracy.predictive import PredictiveValues, predictive_values

__all__ = [
    "Algorithm",
    "Choice",
    "Comparison",
    "Estimate",
    "LikelihoodRatios",
    "MissedCases",
    "Outcomes",
    "PredictiveValues",
    "compare",
    "estimate",
    "from_counts",
    "likelihood_ratios",
    "missed_cases",
    "outcomes",
    "parallel",
    "post_test",
    "predictive_values",
    "serial",
]
