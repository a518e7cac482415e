"""Readiness, coverage and inequality against printed tables and definitions."""

import numpy as np
import pytest

from planner.engine.equity import (
    all_items,
    availability,
    concentration,
    gini,
    readiness,
    slope,
    weighted_coverage,
)
from planner.engine.errors import InputError

# Health Services Insights 2021, table 3 (seen): per cent of facilities with each of 7 items.
READINESS = [
    ("Benin", [100, 92, 42, 67, 25, 33, 8], 52.4),
    ("Eritrea", [67, 67, 33, 17, 0, 0, 0], 26.3),
]
# World Bank technical note 7, India 1982-92 (from memory): births and deaths under five per
# 1000, by fifths from the poorest.
INDIA = ([154.7, 152.9, 119.5, 86.9, 54.3], [29_939, 28_776, 26_528, 24_689, 19_739])
# Bolivia (seen), fifths of equal size.
BOLIVIA = ([135.1, 106.0, 93.4, 39.8, 32.2], [1, 1, 1, 1, 1])


@pytest.mark.parametrize(("country", "items", "expected"), READINESS)
def test_readiness_is_the_mean_of_the_items(country, items, expected):
    assert 100 * readiness(np.array(items) / 100) == pytest.approx(expected, abs=0.05), country


def test_the_median_of_the_same_items_is_another_figure():
    items = np.array(READINESS[0][1]) / 100

    assert (availability(items), readiness(items)) == pytest.approx((0.42, 0.524), abs=5e-4)


def test_all_items_together_are_never_more_than_the_rarest_one():
    present = [[1, 1, 0], [1, 1, 1], [1, 0, 1], [1, 1, np.nan]]

    assert all_items(present) == 0.25


def test_coverage_counts_people_not_sites():
    """Computed: (12 000 + 30 000) of 55 000."""
    assert weighted_coverage([1, 0, 1, 0], [12_000, 8000, 30_000, 5000]) == pytest.approx(42 / 55)


@pytest.mark.parametrize(
    ("values", "expected", "source"),
    [
        ([60, 63, 66, 69, 72], 0.03636364, "documentation of an open R package (seen)"),
        ([1, 2, 3, 4, 5], 0.26666667, "computed"),
        ([7, 7, 7], 0, "all alike"),
    ],
)
def test_the_gini_index_is_that_of_the_examples(values, expected, source):
    assert gini(values) == pytest.approx(expected, abs=1e-8), source


def test_the_gini_index_is_the_double_sum_of_its_definition():
    draw = np.random.default_rng(5)
    values, weights = draw.lognormal(size=40), draw.uniform(0, 3, 40)
    shares = weights / weights.sum()
    apart = np.abs(values[:, None] - values)

    assert gini(values, weights) == pytest.approx(
        shares @ apart @ shares / (2 * (values @ shares)), rel=1e-12
    )


def test_the_concentration_index_is_that_of_the_technical_note():
    assert concentration(*INDIA).index == pytest.approx(-0.1694, abs=5e-5)


def test_the_concentration_index_by_the_sum_over_neighbouring_groups():
    """The note's other formula: Σ (p_t L_t+1 − p_t+1 L_t) of cumulative shares."""
    values, weights = map(np.array, INDIA)
    people = np.cumsum(weights / weights.sum())
    deaths = np.cumsum(values * weights / (values @ weights))

    assert concentration(*INDIA).index == pytest.approx(
        float((people[:-1] * deaths[1:] - people[1:] * deaths[:-1]).sum()), rel=1e-12
    )


def test_bolivia_has_the_index_that_its_fifths_give():
    assert concentration(*BOLIVIA).index == pytest.approx(-0.2677, abs=5e-5)


def test_for_shares_the_bounded_indices_follow_from_the_plain_one():
    """Erreygers 4 μ C and Wagstaff C/(1 − μ) (from memory)."""
    values, weights = [0.2, 0.4, 0.5, 0.7, 0.9], [1, 1, 1, 1, 1]
    found, mean = concentration(values, weights, of="share"), 0.54

    assert found.wagstaff == pytest.approx(found.index / (1 - mean))
    assert found.erreygers == pytest.approx(4 * mean * found.index)
    assert np.isnan(concentration(values, weights).wagstaff)


@pytest.mark.parametrize(("groups", "expected"), [(INDIA, -126.2), (BOLIVIA, -136.0)])
def test_the_slope_index_is_the_fitted_difference(groups, expected):
    """Computed; reference: numpy's weighted least squares on mean ranks."""
    values, weights = map(np.array, groups)
    shares = weights / weights.sum()
    ranks = np.cumsum(shares) - shares / 2
    steep, worst = np.polyfit(ranks, values, 1, w=np.sqrt(weights))
    found = slope(*groups)

    assert found.difference == pytest.approx(expected, abs=0.05)
    assert found.difference == pytest.approx(steep, rel=1e-9)
    assert found.ratio == pytest.approx((worst + steep) / worst, rel=1e-9)
    assert found.model.startswith("linear")


def test_what_is_not_known_takes_its_weight_with_it():
    assert readiness([0.5, np.nan, 1.0]) == 0.75
    assert weighted_coverage([1, np.nan, 0], [10, 99, 30]) == 0.25
    assert weighted_coverage([1, 1, 0], [10, np.nan, 30]) == 0.25


@pytest.mark.parametrize(
    "figure",
    [
        readiness([]),
        availability([np.nan]),
        all_items([]),
        weighted_coverage([], []),
        gini([0, 0]),
        concentration([0, 0], [1, 1]).index,
        slope([3.0], [1]).ratio,
    ],
)
def test_without_anything_to_count_there_is_no_figure(figure):
    assert np.isnan(figure)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: readiness([52.4]), "Divide by 100"),
        (lambda: weighted_coverage([1], [1, 2]), "two lists of one length"),
        (lambda: weighted_coverage([1], [-1]), "weight: expected"),
        (lambda: gini([-1, 1]), "at least 0"),
        (lambda: concentration([40, 50], [1, 1], of="share"), "Divide by 100"),
    ],
)
def test_impossible_figures_are_refused(work, says):
    with pytest.raises(InputError) as refused:
        work()

    assert says in refused.value.problems[0]
