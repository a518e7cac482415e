"""Agreement of two instruments against published worked examples and reference libraries."""

import numpy as np
import pytest
import scipy.integrate
import scipy.stats
from statsmodels.stats.inter_rater import cohens_kappa
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.weightstats import DescrStatsW

from planner.engine.agreement import (
    ISO_15197,
    Limit,
    Measured,
    bland_altman,
    deviations,
    error_limits,
    judge,
    qualitative,
    repeatability,
    share,
    sigma,
    speed_log,
    spent,
    total_error,
    within,
)
from planner.engine.physics import spin

# Peak expiratory flow of 17 people in l/min, first readings, by a large and by a small meter.
# J M Bland, D G Altman, Lancet 1986;1:307-310, table (the pairs from memory).
LARGE = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
SMALL = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]
# Second readings by the large meter, same table (from memory).
LARGE_AGAIN = [490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421]

FLOW = bland_altman(LARGE, SMALL, multiplier=2)
PUBLISHED = [
    # figure, printed value, tolerance, provenance
    (FLOW.n, 17, 0, "Lancet 1986 (from memory)"),
    (FLOW.bias, -2.1, 0.05, "Lancet 1986 (from memory)"),
    (FLOW.sd, 38.8, 0.05, "Lancet 1986 (from memory)"),
    (FLOW.lower, -79.7, 0.2, "Lancet 1986, with 2 SD (from memory)"),
    (FLOW.upper, 75.5, 0.2, "Lancet 1986, with 2 SD (from memory)"),
    (FLOW.bias_interval.low, -22.0, 0.1, "Lancet 1986 (from memory)"),
    (FLOW.bias_interval.high, 17.8, 0.1, "Lancet 1986 (from memory)"),
    # The paper takes SD √(3/n) for the error of a limit; the exact factor is 1 % larger.
    (FLOW.lower_interval.low, -114.3, 1.0, "Lancet 1986 (from memory)"),
    (FLOW.lower_interval.high, -45.1, 1.0, "Lancet 1986 (from memory)"),
    (FLOW.upper_interval.low, 40.9, 1.0, "Lancet 1986 (from memory)"),
    (FLOW.upper_interval.high, 110.1, 1.0, "Lancet 1986 (from memory)"),
]


@pytest.mark.parametrize(("found", "printed", "tolerance", "source"), PUBLISHED)
def test_flow_meters_agree_as_the_paper_says(found, printed, tolerance, source):
    assert found == pytest.approx(printed, abs=tolerance), source


def test_the_repeatability_of_the_large_meter_is_that_of_the_paper():
    """Coefficient of repeatability, 2 SD of differences: 43.2 l/min, Lancet 1986 (from memory).

    Its SD is of differences with mean taken as 0: √2 times the SD of single readings.
    """
    found = repeatability(LARGE, LARGE_AGAIN)

    assert 2 * np.sqrt(2) * found.sd == pytest.approx(43.2, abs=0.1)


def test_bias_and_its_interval_are_those_of_two_statistics_libraries():
    """Reference: scipy.stats.ttest_rel and statsmodels' DescrStatsW."""
    paired = scipy.stats.ttest_rel(LARGE, SMALL)
    described = DescrStatsW(np.subtract(LARGE, SMALL))

    low, high = paired.confidence_interval(0.95)
    assert (FLOW.bias_interval.low, FLOW.bias_interval.high) == pytest.approx((low, high))
    assert described.tconfint_mean(0.05) == pytest.approx((low, high))
    assert (FLOW.bias, FLOW.sd) == pytest.approx((described.mean, np.sqrt(described.var * 17 / 16)))


def test_limits_hold_the_true_ones_as_often_as_their_intervals_promise():
    """Reference: simulation of normal differences with a known spread, n = 40, 4000 times."""
    draws = np.random.default_rng(1986).normal(0, 2, size=(4000, 40))
    held = []
    for errors in draws:
        found = bland_altman(100 + errors, np.full(40, 100.0))
        held.append(found.upper_interval.low <= 1.96 * 2 <= found.upper_interval.high)

    assert np.mean(held) == pytest.approx(0.95, abs=0.015)


def test_the_hint_of_a_proportional_bias_is_a_correlation_as_scipy_has_it():
    device = [1.14 * value + 0.3 * (-1) ** value for value in range(20, 50)]
    reference = list(range(20, 50))

    trend = bland_altman(device, reference).trend

    means = np.add(device, reference) / 2
    expected = scipy.stats.pearsonr(means, np.subtract(device, reference))
    assert (trend.correlation, trend.p_value) == pytest.approx(
        (expected.statistic, expected.pvalue)
    )
    assert trend.is_likely
    assert not FLOW.trend.is_likely


def test_a_hand_spinner_that_reads_a_seventh_too_high_is_seen_as_such():
    """AJTMH 2011;85(2): packed cell volume 1.14 times that of the reference (seen)."""
    reference = [float(value) for value in range(20, 51)]

    found = bland_altman(
        [1.14 * value for value in reference], reference, difference="percent_of_reference"
    )

    assert found.bias == pytest.approx(14, abs=1e-9)
    assert found.sd == pytest.approx(0, abs=1e-9)


def test_total_error_and_sigma_are_those_of_the_definitions():
    """Total error |bias| + 1.65 SD; sigma (TEa − |bias|)/CV: common laboratory practice.

    Bias 2 %, CV 2 %, allowed 10 %: total error 5.3 %, sigma 4.
    """
    z = np.array([-1.0, 1.0]) * np.sqrt(0.5) * 2 + 2
    found = bland_altman(100 + z, [100.0, 100.0], difference="percent_of_reference")

    assert (found.bias, found.sd) == pytest.approx((2, 2))
    assert total_error(found) == pytest.approx(5.3)
    assert sigma(found, 10) == pytest.approx(4)


GLUCOSE = [
    # reference, device, unit, within, source
    (80, 94, "mg/dL", True, "ISO 15197:2013, 14 of 15 mg/dL (seen)"),
    (120, 139, "mg/dL", False, "ISO 15197:2013, 15.8 % (seen)"),
    (80, 95, "mg/dL", True, "ISO 15197:2013, exactly 15 mg/dL"),
    (80, 95.1, "mg/dL", False, "ISO 15197:2013, over 15 mg/dL"),
    (80, 65, "mg/dL", True, "ISO 15197:2013, exactly -15 mg/dL"),
    (80, 64.9, "mg/dL", False, "ISO 15197:2013, under -15 mg/dL"),
    (120, 138, "mg/dL", True, "ISO 15197:2013, exactly 15 %"),
    (120, 138.1, "mg/dL", False, "ISO 15197:2013, over 15 %"),
    (99.9, 114.95, "mg/dL", False, "ISO 15197:2013, below 100 the amount counts"),
    (100, 115, "mg/dL", True, "ISO 15197:2013, at 100 both agree"),
    (40, 54, "mg/dL", True, "ISO 15197:2013, 35 % off but 14 mg/dL"),
    (4.0, 4.83, "mmol/L", True, "ISO 15197:2013, exactly 0.83 mmol/L (from memory)"),
    (4.0, 4.84, "mmol/L", False, "ISO 15197:2013, over 0.83 mmol/L (from memory)"),
    (10.0, 11.5, "mmol/L", True, "ISO 15197:2013, exactly 15 %"),
    (10.0, 11.51, "mmol/L", False, "ISO 15197:2013, over 15 %"),
]


@pytest.mark.parametrize(("reference", "device", "unit", "allowed", "source"), GLUCOSE)
def test_a_glucose_result_is_within_the_standard_or_not(reference, device, unit, allowed, source):
    ratios = spent([device, reference], [reference, reference], ISO_15197[unit])

    assert within(ratios).tolist() == [allowed, True], source


@pytest.mark.parametrize(("wrong", "outcome"), [(5, "pass"), (6, "fail")])
def test_nineteen_of_twenty_glucose_results_must_be_within(wrong, outcome):
    """ISO 15197:2013: at least 95 % of results, of 100 specimens in duplicate (seen)."""
    reference = [90.0] * 50 + [200.0] * 50
    device = [value + 20 if at < wrong else value for at, value in enumerate(reference)]
    limits = [
        Limit("total_error", "Error", -15, 15, "mg/dL", 100, "iso", "glucose", 0.95, None, 100),
        Limit("total_error_pct", "Error", -15, 15, "%", 100, "iso", "glucose", 0.95, 100, None),
    ]

    [(limit, measured)] = error_limits(device, reference, limits)

    assert measured.value == 100 - wrong
    assert limit.words == "at least 95\N{NARROW NO-BREAK SPACE}%"
    assert judge({limit.measure: measured}, [limit]).outcome == outcome


@pytest.mark.parametrize(
    ("reference", "error", "outcome"),
    [(50, 5.9, "pass"), (50, 6.1, "fail"), (200, 19.9, "pass"), (200, 20.1, "fail")],
)
def test_of_an_amount_and_a_share_the_wider_is_allowed(reference, error, outcome):
    """Glucose ±6 mg/dL or ±10 %, US proficiency criteria 1988 to 2024 (seen)."""
    limits = [
        Limit("total_error", "Error", -6, 6, "mg/dL", rule="us-1988", analyte="glucose"),
        Limit("total_error_pct", "Error", -10, 10, "%", rule="us-1988", analyte="glucose"),
    ]

    [(limit, measured)] = error_limits([reference + error] * 5, [reference] * 5, limits)

    assert judge({limit.measure: measured}, [limit]).outcome == outcome


WILSON = [
    # Newcombe, Statistics in Medicine 1998;17:857-872, table I, method 3 (from memory)
    (81, 263, 0.2553, 0.3662),
    (0, 20, 0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]


@pytest.mark.parametrize(("met", "tried", "low", "high"), WILSON)
def test_shares_have_the_intervals_of_the_table_and_of_a_library(met, tried, low, high):
    found = share(met, tried)

    assert (found.wilson.low, found.wilson.high) == pytest.approx((low, high), abs=5e-5)
    for ours, method in ((found.wilson, "wilson"), (found.exact, "beta")):
        expected = proportion_confint(met, tried, method=method)
        assert (ours.low, ours.high) == pytest.approx(expected, abs=1e-12)


def test_kappa_of_a_table_is_that_of_the_textbook_and_of_a_library():
    """Cohen's κ of 20, 5, 10, 15 is 0.4: a common textbook table (from memory); statsmodels."""
    found = qualitative(20, 5, 10, 15)

    assert found.kappa == pytest.approx(0.4)
    assert found.kappa == pytest.approx(cohens_kappa([[20, 5], [10, 15]]).kappa)
    assert (found.sensitivity.value, found.specificity.value) == pytest.approx((2 / 3, 0.75))
    assert found.agreement == pytest.approx(0.7)


def test_a_logged_run_does_what_a_numerical_integral_says():
    """Reference: scipy.integrate.quad over the squared speed of a run up, a plateau, a stop."""
    times, speeds, radius_cm = [0, 20, 320, 380], [0, 11_500, 10_900, 0], 8.7

    found = speed_log(times, speeds, radius_cm, band_g=(10_000, 15_000))

    def force(seconds):
        return float(spin.RCF_PER_CM_RPM2 * radius_cm * np.interp(seconds, times, speeds) ** 2)

    whole, _ = scipy.integrate.quad(force, 0, 380, points=times[1:3])
    assert found.g_minutes == pytest.approx(whole / 60)
    start, stop = 20 * 0.9, 320 + 60 * (10_900 - 0.9 * 11_500) / 10_900
    at_speed, _ = scipy.integrate.quad(force, start, stop, points=times[1:3])
    assert found.at_speed_s == pytest.approx(stop - start)
    assert found.rcf_g == pytest.approx(at_speed / (stop - start))
    finely = np.linspace(0, 380, 380_001)
    forces = spin.RCF_PER_CM_RPM2 * radius_cm * np.interp(finely, times, speeds) ** 2
    assert found.in_band_s == pytest.approx(
        ((forces >= 10_000) & (forces <= 15_000)).sum() / 1000, abs=0.01
    )


def test_a_spin_to_and_fro_does_half_of_what_its_greatest_speed_would():
    """The mean of a squared sine is 1/2: an oscillating disc is not what its peak suggests."""
    times = np.linspace(0, 60, 60_001)
    speeds = 20_000 * np.sin(2 * np.pi * times)

    found = speed_log(times, speeds, 2.5)

    assert found.rcf_g / found.rcf_peak_g == pytest.approx(0.5, rel=0.01)
    assert found.rcf_peak_g == pytest.approx(spin.rcf_g(20_000, 2.5))


@pytest.mark.parametrize(
    ("found_rpm", "outcome"), [(2700, "pass"), (2699, "fail"), (3300, "pass"), (3301, "fail")]
)
def test_the_speed_of_a_centrifuge_may_be_a_tenth_off(found_rpm, outcome):
    """Hospital inspection procedure no. 456: speed within 10 % (seen)."""
    found = deviations([3000], [found_rpm])
    limit = Limit("speed_error_pct", "Error of speed", -10, 10, "%")

    measured = Measured(found.least_pct, found.n, to=found.greatest_pct)

    assert judge({"speed_error_pct": measured}, [limit]).outcome == outcome
