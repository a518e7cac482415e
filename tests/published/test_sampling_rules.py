"""Sample sizes, decision rules and their risks against published tables and SciPy."""

import itertools

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.inter_rater import cohens_kappa

from planner.engine.sampling import (
    acceptance,
    kappa,
    lowest_passes,
    single_rule,
    zero_failure_size,
)

# Lot quality assurance sampling, 80 % against 50 % (PMC3013262, table 1, seen): sample, most
# failures, chance of accepting at 80 %, chance of rejecting at 50 %. The row of 8 is left
# out: binomial gives 0.797 and 0.855 where the table prints 0.79 and 0.83.
LQAS = [(12, 4, 0.93, 0.81), (14, 4, 0.87, 0.91), (19, 6, 0.93, 0.92), (28, 9, 0.96, 0.96)]
# Trainers' table for 19 items (from memory) and a table of routine data checks for 12 (seen),
# from a target of 35 %: the fewest that must pass. Below, the lower share would be nothing.
PASSES = {
    19: [4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16],
    12: [2, 3, 4, 5, 5, 6, 7, 7, 8, 8, 9, 10, 11],
}
TARGETS = [0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95]


@pytest.mark.parametrize(("sample", "allowed", "accepts", "rejects"), LQAS)
def test_the_risks_of_a_rule_are_those_of_the_table(sample, allowed, accepts, rejects):
    at_good, at_bad = acceptance(sample, allowed, [0.2, 0.5])

    assert at_good == pytest.approx(accepts, abs=0.01)
    assert 1 - at_bad == pytest.approx(rejects, abs=0.01)


@pytest.mark.parametrize(
    ("sample", "target", "passes"),
    [
        (sample, target, passes)
        for sample, column in PASSES.items()
        for target, passes in zip(TARGETS, column, strict=True)
    ],
)
def test_the_fewest_passes_are_those_of_the_tables(sample, target, passes):
    assert lowest_passes(sample, target=target).passes == passes


def test_the_rule_for_nineteen_has_the_risks_that_made_it_popular():
    """Binomial: 0.9324 and 0.9165, both errors below a tenth."""
    rule = lowest_passes(19, target=0.8)

    assert (1 - rule.false_alarm, 1 - rule.missed) == pytest.approx((0.9324, 0.9165), abs=5e-5)


@pytest.mark.parametrize(("failing", "accepts"), [(0.025, 0.9118), (0.10, 0.3917)])
def test_plan_f_of_acceptance_sampling_accepts_as_its_curve_says(failing, accepts):
    """ISO 2859-1, code letter F, 20 items, 1 may fail (from memory)."""
    assert acceptance(20, 1, failing) == pytest.approx(accepts, abs=1e-4)


def test_a_small_register_is_drawn_without_putting_back():
    """6 failing among 60, 20 checked, none may fail; reference: scipy.stats.hypergeom."""
    chance = acceptance(20, 0, 0.1, lot=60)

    assert chance == pytest.approx(0.07667, abs=1e-5)
    assert chance == pytest.approx(stats.hypergeom.pmf(0, 60, 6, 20), rel=1e-12)


@pytest.mark.parametrize(("good_share", "size"), [(0.95, 59), (0.90, 29), (0.99, 299)])
def test_so_many_without_a_failure_show_with_95_per_cent_confidence(good_share, size):
    """The zero-failure table of reliability handbooks (from memory): 59, 29 and 299."""
    assert zero_failure_size(good_share=good_share) == size
    assert stats.binom.cdf(0, size, 1 - good_share) <= 0.05 < good_share ** (size - 1)


@pytest.mark.parametrize(("lot", "good_share"), [(60, 0.9), (25, 0.8), (10, 0.5), (400, 0.95)])
def test_in_a_small_lot_fewer_will_do(lot, good_share):
    """Reference: scipy.stats.hypergeom, size by size."""
    failures = round(lot * (1 - good_share)) + 1
    expected = next(
        n for n in range(1, lot + 1) if stats.hypergeom.pmf(0, lot, failures, n) <= 0.05
    )

    assert zero_failure_size(good_share=good_share, lot=lot) == expected
    assert expected <= zero_failure_size(good_share=good_share)


@pytest.mark.parametrize(
    ("good", "bad", "false_alarm", "missed"),
    [(0.2, 0.5, 0.1, 0.1), (0.05, 0.2, 0.05, 0.1), (0.0, 0.1, 0.05, 0.05), (0.1, 0.3, 0.2, 0.05)],
)
def test_no_smaller_sample_keeps_both_risks(good, bad, false_alarm, missed):
    """Reference: every smaller sample and every number allowed, by scipy.stats.binom."""
    rule = single_rule(good=good, bad=bad, false_alarm=false_alarm, missed=missed)

    def keeps(sample, allowed):
        accepted = stats.binom.cdf(allowed, sample, [good, bad])
        return 1 - accepted[0] <= false_alarm and accepted[1] <= missed

    assert keeps(rule.sample, rule.allowed)
    smaller = ((n, c) for n in range(1, rule.sample) for c in range(n))
    assert not any(itertools.starmap(keeps, smaller))


def test_items_that_fail_together_make_the_same_rule_riskier():
    """Cluster sampling by the beta-binomial (PMC3819670); reference: scipy.stats.betabinom."""
    rho, spread = 0.1, 9
    at_bad = acceptance(19, 6, 0.5, correlation=rho)

    assert at_bad == pytest.approx(stats.betabinom.cdf(6, 19, 0.5 * spread, 0.5 * spread))
    assert at_bad > 2 * acceptance(19, 6, 0.5)


def test_two_items_correlate_as_stated():
    """Algebra: the chance that both of two fail is p² + ρ p (1 − p)."""
    share, rho = 0.3, 0.25
    both_fail = 1 - acceptance(2, 1, share, correlation=rho)

    assert both_fail == pytest.approx(share**2 + rho * share * (1 - share), rel=1e-12)


KAPPAS = [
    [[20, 5], [10, 15]],
    [[20, 5, 1], [10, 15, 2], [0, 3, 9]],
    [[88, 14, 18], [10, 40, 10], [2, 6, 12]],
    [[10, 0], [0, 10]],
    [[0, 10], [10, 0]],
]


@pytest.mark.parametrize("table", KAPPAS)
def test_kappa_and_its_interval_agree_with_a_statistics_library(table):
    """Reference: statsmodels, cohens_kappa."""
    found, expected = kappa(table), cohens_kappa(np.array(table))

    assert found.value == pytest.approx(expected.kappa, abs=1e-12)
    bounds = np.clip([expected.kappa_low, expected.kappa_upp], -1, 1)
    assert (found.low, found.high) == pytest.approx(tuple(bounds), abs=1e-9)


def test_kappa_of_the_paper_that_introduced_weights():
    """Fleiss, Cohen and Everitt 1969 (from memory): shares .53 .05 .02 / .11 .14 .05 / .01 .06
    .03 of 200 give 0.429."""
    found = kappa([[106, 10, 4], [22, 28, 10], [2, 12, 6]])

    assert found.value == pytest.approx(0.429, abs=5e-4)
    assert found.agreed == pytest.approx(0.70)
