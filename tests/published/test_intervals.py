"""Intervals of a share against a published table and a statistics library."""

import numpy as np
import pytest
from statsmodels.stats.proportion import proportion_confint

from planner.engine.errors import InputError
from planner.engine.intervals import clopper_pearson, wilson

# Newcombe, Statistics in Medicine 1998;17:857-872, table I: method 3, the score interval, and
# method 5, the exact one (from memory; both follow from the formulas).
WILSON = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611),
          (1, 29, 0.0061, 0.1718)]  # fmt: skip
EXACT = [(81, 263, 0.2527, 0.3676), (15, 148, 0.0578, 0.1617), (0, 20, 0, 0.1684),
         (1, 29, 0.0009, 0.1776)]  # fmt: skip
COUNTS = [(0, 1), (1, 1), (0, 20), (20, 20), (1, 29), (3, 7), (81, 263), (950, 1000)]


@pytest.mark.parametrize(("met", "tried", "low", "high"), WILSON)
def test_the_score_interval_is_that_of_the_table(met, tried, low, high):
    assert wilson(met, tried) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("met", "tried", "low", "high"), EXACT)
def test_the_exact_interval_is_that_of_the_table(met, tried, low, high):
    assert clopper_pearson(met, tried) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
@pytest.mark.parametrize(("met", "tried"), COUNTS)
@pytest.mark.parametrize(
    ("ours", "theirs"), [(wilson, "wilson"), (clopper_pearson, "beta")], ids=["score", "exact"]
)
def test_both_intervals_agree_with_a_statistics_library(ours, theirs, met, tried, confidence):
    """Reference: statsmodels, proportion_confint."""
    expected = proportion_confint(met, tried, alpha=1 - confidence, method=theirs)

    assert ours(met, tried, confidence) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("interval", [wilson, clopper_pearson])
def test_an_end_is_exact_where_nothing_or_everything_was_met(interval):
    assert interval(0, 13)[0] == 0
    assert interval(13, 13)[1] == 1


@pytest.mark.parametrize("interval", [wilson, clopper_pearson])
def test_what_is_not_known_and_what_was_not_tried_has_no_interval(interval):
    low, high = interval([np.nan, 3, 0, 2], [10, np.nan, 0, 4])

    assert np.isnan(low).tolist() == np.isnan(high).tolist() == [True, True, True, False]


@pytest.mark.parametrize(
    ("met", "tried", "says"),
    [
        (5, 4, "successes: expected no more than the trials"),
        (-1, 4, "count: expected a number of at least 0"),
        (1.5, 4, "successes: expected whole numbers, found 1.5"),
        (1, 4.5, "trials: expected whole numbers, found 4.5"),
    ],
)
@pytest.mark.parametrize("interval", [wilson, clopper_pearson])
def test_impossible_counts_are_refused(interval, met, tried, says):
    with pytest.raises(InputError) as refused:
        interval(met, tried)

    assert refused.value.problems[0].startswith(says)


def test_a_confidence_in_per_cent_is_refused():
    with pytest.raises(InputError) as refused:
        wilson(1, 2, 95)

    assert "Divide by 100" in refused.value.problems[0]
