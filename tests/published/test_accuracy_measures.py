"""Measures of accuracy against published summaries, exact fractions, a formula and a simulation.

Accuracies are those of the systematic reviews named; where the year stands with "from
memory", the figure was not looked up again. Expected results follow from them by Bayes'
rule in exact fractions, which shares no code with the engine.
"""

from fractions import Fraction

import numpy as np
import pytest
from scipy.special import expit, logit

from planner.engine.accuracy import (
    Choice,
    compare,
    estimate,
    from_counts,
    likelihood_ratios,
    missed_cases,
    outcomes,
    parallel,
    post_test,
    predictive_values,
    serial,
)

# What a review's plain summary says of 1000 people tested: (name, sensitivity, specificity,
# people with the condition, test positive, of these without it, test negative, of these with it).
SUMMARIES = [
    # Zifodya et al. 2021, Cochrane CD009593.pub5, cartridge NAAT for tuberculosis (from memory).
    ("TB NAAT", 0.85, 0.98, 100, 103, 18, 897, 15),
    # Bjerrum et al. 2019, Cochrane CD011420.pub3, urine LAM, people with symptoms (from memory).
    ("urine LAM", 0.42, 0.91, 300, 189, 63, 811, 174),
]
# (name, sensitivity, specificity): Abba et al. 2011, Cochrane CD008122, HRP-2 and pLDH rapid
# tests for malaria (from memory); Zifodya 2021; Boelaert et al. 2014, Cochrane CD009135, rK39
# (from memory); Amini et al. 2017, HBsAg rapid tests; Tang et al. 2017, HCV antibody.
REVIEWS = [
    ("malaria HRP-2", "0.95", "0.952"),
    ("malaria pLDH", "0.932", "0.985"),
    ("TB NAAT", "0.85", "0.98"),
    ("rK39", "0.919", "0.924"),
    ("HBsAg rapid", "0.900", "0.995"),
    ("HCV antibody", "0.98", "1"),
]
PREVALENCES = ["0.001", "0.01", "0.1", "0.3", "0.5", "0.9"]


@pytest.mark.parametrize(
    ("name", "sensitivity", "specificity", "ill", "positive", "false_alarms", "negative", "missed"),
    SUMMARIES,
    ids=[row[0] for row in SUMMARIES],
)
def test_of_a_thousand_people_the_results_are_those_of_the_summary_to_a_person(
    name, sensitivity, specificity, ill, positive, false_alarms, negative, missed
):
    found = outcomes(1000, ill / 1000, sensitivity, specificity)

    assert found.true_positive + found.false_positive == pytest.approx(positive, abs=0.5)
    assert found.false_positive == pytest.approx(false_alarms, abs=0.5)
    assert found.true_negative + found.false_negative == pytest.approx(negative, abs=0.5)
    assert found.false_negative == pytest.approx(missed, abs=0.5)


def test_a_malaria_rapid_test_is_right_in_69_of_100_positives_where_a_tenth_have_it():
    """Bayes on the figures of Abba et al. 2011: 0.6874 (tolerance 1e-4)."""
    assert predictive_values(0.95, 0.952, 0.1).positive.value == pytest.approx(0.6874, abs=1e-4)


@pytest.mark.parametrize("prevalence", PREVALENCES)
@pytest.mark.parametrize(
    ("name", "sensitivity", "specificity"), REVIEWS, ids=[r[0] for r in REVIEWS]
)
def test_predictive_values_are_those_of_exact_fractions(name, sensitivity, specificity, prevalence):
    se, sp, p = Fraction(sensitivity), Fraction(specificity), Fraction(prevalence)
    positive = se * p / (se * p + (1 - sp) * (1 - p))
    negative = sp * (1 - p) / (sp * (1 - p) + (1 - se) * p)

    found = predictive_values(float(se), float(sp), float(p))

    assert found.positive.value == pytest.approx(float(positive), rel=1e-12)
    assert found.negative.value == pytest.approx(float(negative), rel=1e-12)


@pytest.mark.parametrize(
    ("name", "sensitivity", "specificity"), REVIEWS, ids=[r[0] for r in REVIEWS]
)
def test_a_likelihood_ratio_on_the_odds_gives_the_predictive_value(name, sensitivity, specificity):
    """The identity of Bayes' rule in odds; exact but for rounding."""
    se, sp, p = float(sensitivity), float(specificity), np.array([0.01, 0.2, 0.7])

    ratios, values = likelihood_ratios(se, sp), predictive_values(se, sp, p)

    assert post_test(p, ratios.positive) == pytest.approx(values.positive.value, rel=1e-9)
    assert 1 - post_test(p, ratios.negative) == pytest.approx(values.negative.value, rel=1e-9)


def test_the_likelihood_ratios_of_the_colour_scale_for_anaemia():
    """Marn and Critchley 2016, Lancet Glob Health 4:e251: 80 % and 80 %, so 4 and a quarter."""
    ratios = likelihood_ratios(0.80, 0.80)

    assert (ratios.positive, ratios.negative) == pytest.approx((4.0, 0.25), rel=1e-12)


@pytest.mark.parametrize("prevalence", [0.03, 0.2, 0.6])
@pytest.mark.parametrize(("tp", "ill", "tn", "well"), [(240, 418, 288, 375), (90, 98, 170, 184)])
def test_intervals_are_those_of_the_logit_method_for_a_study(tp, ill, tn, well, prevalence):
    """Mercaldo, Lau and Zhou 2007, equations 8 to 11, straight from the counts of a study."""
    z, se, sp = 1.959963984540054, tp / ill, tn / well
    positive = logit(prevalence) + np.log(se / (1 - sp))
    negative = logit(1 - prevalence) + np.log(sp / (1 - se))
    half_positive = z * np.sqrt((1 - se) / (se * ill) + sp / ((1 - sp) * well))
    half_negative = z * np.sqrt(se / ((1 - se) * ill) + (1 - sp) / (sp * well))

    found = predictive_values(_on_logit(se, ill, z), _on_logit(sp, well, z), prevalence)

    assert not found.by_corners
    assert (found.positive.low, found.positive.high) == pytest.approx(
        (expit(positive - half_positive), expit(positive + half_positive)), rel=1e-9
    )
    assert (found.negative.low, found.negative.high) == pytest.approx(
        (expit(negative - half_negative), expit(negative + half_negative)), rel=1e-9
    )


def _on_logit(share: float, n: int, z: float):
    half = z / np.sqrt(n * share * (1 - share))
    return estimate(share, expit(logit(share) - half), expit(logit(share) + half))


def test_intervals_agree_with_a_simulation_of_the_pooled_figures():
    """rK39, Boelaert 2014: 91.9 (84.8-96.5) and 92.4 (85.6-96.8); 4e5 draws, seed 7, 0.01."""
    draw, p = np.random.default_rng(7), 0.2
    se = estimate(0.919, 0.848, 0.965)
    sp = estimate(0.924, 0.856, 0.968)
    drawn = [
        expit(draw.normal(logit(each.value), _width(each) / 3.919927969, 400_000))
        for each in (se, sp)
    ]
    simulated = drawn[0] * p / (drawn[0] * p + (1 - drawn[1]) * (1 - p))

    found = predictive_values(se, sp, p).positive

    assert (found.low, found.high) == pytest.approx(
        tuple(np.quantile(simulated, [0.025, 0.975])), abs=0.01
    )


def _width(share) -> float:
    return logit(share.high) - logit(share.low)


@pytest.mark.parametrize(
    ("prevalence", "assays", "enough"),
    [(0.05, 2, True), (0.01, 2, False), (0.01, 3, True), (0.049, 1, False)],
)
def test_consecutive_reactive_assays_reach_the_asked_certainty_as_the_guideline_says(
    prevalence, assays, enough
):
    """WHO consolidated guidelines on HIV testing services, 2019 (from memory): assays of at
    least 99 % sensitivity and 98 % specificity; two in a row suffice for a positive
    predictive value of 99 % from a prevalence of 5 %, below that three are needed."""
    algorithm = serial([0.99] * assays, [0.98] * assays)

    found = predictive_values(algorithm.sensitivity, algorithm.specificity, prevalence)

    assert (found.positive.value >= 0.99) == enough


def test_side_by_side_and_in_a_row_are_the_same_but_for_what_counts_as_positive():
    """De Morgan: not (any positive) is (all negative), so the roles of Se and Sp change."""
    se, sp = [0.7, 0.8, 0.95], [0.9, 0.99, 0.6]

    any_positive, all_positive = parallel(se, sp), serial(sp, se)

    assert any_positive.sensitivity == pytest.approx(all_positive.specificity, rel=1e-12)
    assert any_positive.specificity == pytest.approx(all_positive.sensitivity, rel=1e-12)


def test_a_study_of_smears_gives_its_sensitivity_with_a_score_interval():
    """Newcombe 1998, table I, 81 of 263: 0.2553 to 0.3662 (from memory; statsmodels agrees)."""
    found = from_counts(81, 263)

    assert (found.low, found.value, found.high) == pytest.approx((0.2553, 0.3080, 0.3662), abs=5e-5)


def test_the_colour_scale_misses_more_anaemia_than_a_photometer_and_costs_less():
    """1000 tests, prevalence 40 %, 80/80 (Marn and Critchley 2016) against 97/97; arithmetic.

    Missed 400 × 0.20 = 80 and 400 × 0.03 = 12; false alarms 600 × 0.20 and 600 × 0.03; a
    test costs 0.1 and 1.0, so 900 more for 68 cases more.
    """
    found = compare(1000, 0.4, cheaper=Choice(0.8, 0.8, 0.1), reference=Choice(0.97, 0.97, 1.0))

    assert found.missed.by_cheaper == pytest.approx(80)
    assert found.missed.by_reference == pytest.approx(12)
    assert found.missed.more == pytest.approx(68)
    assert found.false_alarms_more == pytest.approx(102)
    assert found.cost_per_extra_case_found == pytest.approx(900 / 68)


def test_direct_smears_miss_more_than_concentrated_ones_by_their_sensitivities():
    """71 % direct and 83 % concentrated against culture, n = 915 (seen in an abstract)."""
    found = missed_cases(1000, 0.1, cheaper=0.71, reference=0.83)

    assert (found.by_cheaper, found.by_reference, found.more) == pytest.approx((29, 17, 12))
