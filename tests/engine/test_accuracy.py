"""Accuracy in use: what is unknown stays unknown, what cannot be is refused."""

import numpy as np
import pytest

from planner.engine.accuracy import (
    Choice,
    compare,
    estimate,
    from_counts,
    likelihood_ratios,
    outcomes,
    parallel,
    post_test,
    predictive_values,
    serial,
)
from planner.engine.errors import InputError

NAN = np.nan


def test_results_add_up_to_the_tests():
    found = outcomes([100, 250], [0.1, 0.3], 0.8, 0.9)

    assert found.true_positive + found.false_negative == pytest.approx([10, 75])
    assert found.true_negative + found.false_positive == pytest.approx([90, 175])


def test_without_a_specificity_only_what_concerns_the_ill_is_known():
    found = outcomes(100, 0.1, 0.8, NAN)
    values = predictive_values(0.8, NAN, 0.1)
    choice = compare(100, 0.1, cheaper=Choice(0.8), reference=Choice(0.9, 1.0))

    assert (found.true_positive, found.false_negative) == pytest.approx((8, 2))
    assert np.isnan([found.true_negative, found.false_positive]).all()
    assert np.isnan([values.positive.value, values.negative.value]).all()
    assert choice.missed.more == pytest.approx(1)
    assert np.isnan([choice.false_alarms_more, choice.cost_per_extra_case_found]).all()


def test_without_a_prevalence_nothing_is_known():
    found = outcomes(100, NAN, 0.8, 0.9)

    assert np.isnan([found.true_positive, found.false_positive, found.false_negative]).all()


@pytest.mark.parametrize("interval", [{}, {"low": 0.7}, {"high": 0.9}])
def test_without_the_interval_of_the_sensitivity_that_of_a_predictive_value_is_unknown(interval):
    found = predictive_values(estimate(0.8, **interval), estimate(0.9, 0.85, 0.95), 0.1).positive

    assert found.value == pytest.approx(8 / 17)
    assert np.isnan([found.low, found.high]).all()


def test_an_uncertain_prevalence_widens_the_interval():
    accuracy = estimate(0.8, 0.7, 0.87), estimate(0.9, 0.85, 0.94)

    certain = predictive_values(*accuracy, 0.1).positive
    uncertain = predictive_values(*accuracy, estimate(0.1, 0.05, 0.18)).positive

    assert uncertain.low < certain.low < certain.value < certain.high < uncertain.high


def test_a_perfect_specificity_has_no_logit_and_gives_the_widest_interval():
    found = predictive_values(estimate(0.8, 0.7, 0.9), estimate(1.0, 0.9, 1.0), 0.1)

    assert bool(found.by_corners)
    assert found.positive.value == 1.0
    assert (found.positive.low, found.positive.high) == pytest.approx((0.07 / (0.07 + 0.09), 1.0))
    assert (found.negative.low, found.negative.high) == pytest.approx(
        (0.81 / (0.81 + 0.03), 0.9 / (0.9 + 0.01))
    )


def test_a_result_means_nothing_more_where_nobody_or_everybody_has_the_condition():
    found = predictive_values(0.8, 0.9, [0.0, 1.0])

    assert found.positive.value.tolist() == [0.0, 1.0]
    assert found.negative.value.tolist() == [1.0, 0.0]


@pytest.mark.parametrize(
    ("sensitivity", "specificity", "expected"),
    [(0.8, 1.0, (np.inf, 0.2)), (0.0, 1.0, (NAN, 1.0)), (1.0, 0.0, (1.0, NAN))],
)
def test_a_likelihood_ratio_can_be_infinite_or_without_meaning(sensitivity, specificity, expected):
    found = likelihood_ratios(sensitivity, specificity)

    assert (found.positive, found.negative) == pytest.approx(expected, nan_ok=True)


def test_an_infinite_likelihood_ratio_settles_it():
    assert post_test(0.1, np.inf) == 1.0
    assert post_test(0.1, 0.0) == 0.0


def test_a_second_assay_is_done_on_the_positives_of_the_first_only():
    algorithm = serial([0.9, 0.8], [0.98, 0.95])

    assert algorithm.assays_used(0.1) == pytest.approx([1.0, 0.1 * 0.9 + 0.9 * 0.02])
    assert parallel([0.9, 0.8], [0.98, 0.95]).assays_used(0.1) == pytest.approx([1.0, 1.0])


def test_one_unknown_specificity_leaves_that_of_the_algorithm_unknown():
    for algorithm in (serial([0.9, 0.9], [1.0, NAN]), parallel([0.9, 0.9], [1.0, NAN])):
        assert np.isnan(algorithm.specificity)
        assert not np.isnan(algorithm.sensitivity)


def test_nothing_is_bought_where_the_reference_finds_no_more():
    found = compare(100, 0.1, cheaper=Choice(0.8, 1, 1.0), reference=Choice(0.8, 1, 2.0))

    assert found.missed.more == 0
    assert found.reference_costs_more == 100
    assert np.isnan(found.cost_per_extra_case_found)


def test_a_study_without_people_says_nothing():
    found = from_counts([3, 0], [4, 0])

    assert found.value == pytest.approx([0.75, NAN], nan_ok=True)
    assert np.isnan([found.low[1], found.high[1]]).all()


@pytest.mark.parametrize(
    ("refused", "text"),
    [
        (
            lambda: outcomes(100, 0.1, 95, 0.9),
            "sensitivity: expected a number of at least 0 and at most 1, found 95"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: predictive_values(0.9, -0.1, 0.1),
            "specificity: expected a number of at least 0 and at most 1, found -0.1"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: outcomes(100, 1.01, 0.9, 0.9),
            "prevalence: expected a number of at least 0 and at most 1, found 1.01"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: outcomes(-1, 0.1, 0.9, 0.9),
            "tests a year: expected a number of at least 0 and at most 1e+12, found -1",
        ),
        (
            lambda: estimate(0.9, 0.91, 0.95),
            "interval: expected ends with the share between them",
        ),
        (lambda: serial([], []), "steps: expected one sensitivity or more, as a list"),
        (lambda: serial(0.9, 0.9), "steps: expected one sensitivity or more, as a list"),
    ],
)
def test_what_cannot_be_is_refused_with_the_usual_slip(refused, text):
    with pytest.raises(InputError) as error:
        refused()

    assert error.value.problems == (text,)
