"""How many results a year will be right and wrong, and what a better method is worth."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.accuracy.estimates import PREVALENCE, SENSITIVITY, SPECIFICITY
from planner.engine.physics.quantities import Quantity, Values

_TESTS = Quantity("tests a year", "", 0, 1e12, above_zero=False)
_COST = Quantity("cost of one test", "", 0, 1e12, "a cost cannot be negative", above_zero=False)


@dataclass(frozen=True)
class Outcomes:
    """Expected results a year.

    Without a specificity the results of people without the condition are not known (NaN):
    they are never counted as right.
    """

    true_positive: Values
    false_negative: Values
    true_negative: Values
    false_positive: Values


@dataclass(frozen=True)
class MissedCases:
    """Cases a year that each choice does not find, and how many more the cheaper one misses."""

    by_cheaper: Values
    by_reference: Values
    more: Values


@dataclass(frozen=True)
class Choice:
    """One way to test: shares of 0 to 1 and money for one test; NaN is not known."""

    sensitivity: ArrayLike
    specificity: ArrayLike = np.nan
    cost_per_test: ArrayLike = np.nan


@dataclass(frozen=True)
class Comparison:
    """A cheaper choice against a reference, a year. Negative numbers are fewer, or less.

    ``cost_per_extra_case_found``: what the reference costs more, over what it finds more;
    NaN where it finds no more, since nothing is then bought.
    """

    missed: MissedCases
    false_alarms_more: Values
    reference_costs_more: Values
    cost_per_extra_case_found: Values


def outcomes(
    tests_per_year: ArrayLike, prevalence: ArrayLike, sensitivity: ArrayLike, specificity: ArrayLike
) -> Outcomes:
    """Expected true and false results a year among ``tests_per_year`` people tested once."""
    tests, share = _TESTS.values(tests_per_year), PREVALENCE.values(prevalence)
    se, sp = SENSITIVITY.values(sensitivity), SPECIFICITY.values(specificity)
    ill, well = tests * share, tests * (1 - share)
    return Outcomes(ill * se, ill * (1 - se), well * sp, well * (1 - sp))


def missed_cases(
    tests_per_year: ArrayLike, prevalence: ArrayLike, cheaper: ArrayLike, reference: ArrayLike
) -> MissedCases:
    """Cases missed a year by a method of sensitivity ``cheaper`` and by one of ``reference``."""
    by_cheaper = outcomes(tests_per_year, prevalence, cheaper, np.nan).false_negative
    by_reference = outcomes(tests_per_year, prevalence, reference, np.nan).false_negative
    return MissedCases(by_cheaper, by_reference, by_cheaper - by_reference)


def compare(
    tests_per_year: ArrayLike, prevalence: ArrayLike, *, cheaper: Choice, reference: Choice
) -> Comparison:
    """What the cheaper choice misses and raises for nothing, and what the reference would cost."""
    one = outcomes(tests_per_year, prevalence, cheaper.sensitivity, cheaper.specificity)
    other = outcomes(tests_per_year, prevalence, reference.sensitivity, reference.specificity)
    missed = MissedCases(
        one.false_negative, other.false_negative, one.false_negative - other.false_negative
    )
    each = _COST.values(reference.cost_per_test) - _COST.values(cheaper.cost_per_test)
    costs_more = _TESTS.values(tests_per_year) * each
    found_more = np.where(missed.more > 0, missed.more, np.nan)
    return Comparison(
        missed, one.false_positive - other.false_positive, costs_more, costs_more / found_more
    )
