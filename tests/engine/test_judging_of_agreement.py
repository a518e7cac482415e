"""Readings that cannot be compared are refused with their place; judging says why."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.agreement import (
    Interval,
    Limit,
    Measured,
    bland_altman,
    deviations,
    error_limits,
    judge,
    paired_values,
    qualitative,
    repeatability,
    share,
    sigma,
    speed_log,
)
from planner.engine.errors import InputError

THIN = "\N{NARROW NO-BREAK SPACE}"


def problems(call, *given, **more) -> tuple[str, ...]:
    with pytest.raises(InputError) as refusal:
        call(*given, **more)
    return refusal.value.problems


@pytest.mark.parametrize(
    ("device", "reference", "said"),
    [
        (
            [1, 2, 3],
            [1, 2],
            "readings: expected as many of the device as of the reference, found 3 and 2. "
            "Leave out a specimen that only one of them measured",
        ),
        ([], [], "readings: expected at least 2 pairs, found 0"),
        ([40], [41], "readings: expected at least 2 pairs, found 1"),
        ([40, math.nan], [41, 42], "row 2, device: expected a finite number, found nan"),
        ([40, 41], [math.inf, 42], "row 1, reference: expected a finite number, found inf"),
        (
            [40, -1],
            [41, 2],
            "row 2, device: expected a measured amount of 0 or more, found -1. "
            "Enter readings, not differences",
        ),
        (
            [90, 108, 99],
            [5, 6, 5.5],
            "readings: those of the device are 18 times above the others (medians 99 and 5.5). "
            "Are both in the same unit, and in the right columns? Convert one of them, for "
            "example mmol/L into mg/dL",
        ),
        (
            [0, 0],
            [5, 6],
            "readings: those of the reference are far above the others (medians 0 and 5.5). "
            "Are both in the same unit, and in the right columns? Convert one of them, for "
            "example mmol/L into mg/dL",
        ),
    ],
)
def test_pairs_that_cannot_be_compared_are_refused(device, reference, said):
    assert problems(bland_altman, device, reference) == (said,)


def test_a_list_longer_than_anybody_measures_is_the_wrong_file():
    assert problems(paired_values, [1.0] * 5001, [1.0] * 5001) == (
        "readings: expected at most 5000 pairs, found 5001",
    )
    assert paired_values([1.0] * 5000, [1.0] * 5000)[0].size == 5000


def test_every_mistake_is_named_and_in_the_callers_own_words():
    said = problems(paired_values, [math.nan, -2], [1, math.inf], place=lambda at: f"line {at + 7}")

    assert [each.partition(":")[0] for each in said] == [
        "line 7, device", "line 8, device", "line 8, reference",
    ]  # fmt: skip


@pytest.mark.parametrize(("times", "refused"), [(4.99, False), (5.0, True)])
def test_readings_five_times_apart_are_taken_for_two_units(times, refused):
    reference = [10.0, 20.0, 30.0]
    device = [times * value for value in reference]

    if refused:
        assert "same unit" in problems(paired_values, device, reference)[0]
        assert "same unit" in problems(paired_values, reference, device)[0]
    else:
        assert paired_values(device, reference)[0].tolist() == device


def test_temperatures_may_lie_below_zero():
    found = deviations([-20.0, 4.0], [-18.5, 4.5], below_zero=True)

    assert (found.least, found.greatest, found.mean) == (0.5, 1.5, 1.0)
    assert problems(deviations, [-20.0], [-18.5])[0].startswith("row 1, device: expected")


def test_a_deviation_from_a_stated_zero_has_no_per_cent():
    found = deviations([0.0, 10.0], [1.0, 9.0])

    assert (found.mean, found.mean_pct, found.least_pct) == (0.0, None, None)


def test_per_cent_of_nothing_is_refused():
    said = problems(bland_altman, [0.0, 5.0], [0.0, 5.0], difference="percent_of_mean")

    assert said == (
        "row 1: a difference from 0 has no per cent. Compare in the unit measured, or leave the "
        "specimen out",
    )


def test_differences_that_never_vary_have_limits_at_the_bias_and_no_trend():
    found = bland_altman([11.0, 21.0, 31.0], [10.0, 20.0, 30.0])

    assert (found.bias, found.sd, found.lower, found.upper) == (1, 0, 1, 1)
    assert (found.trend.correlation, found.trend.is_likely) == (None, False)
    assert (found.lowest, found.highest) == (10, 30)
    assert (sigma(found, 2), sigma(found, 0.5)) == (math.inf, -math.inf)


def test_per_cent_may_be_of_the_mean_or_of_the_reference():
    of_mean = bland_altman([110.0, 220.0], [90.0, 180.0], difference="percent_of_mean")
    of_reference = bland_altman([110.0, 220.0], [100.0, 200.0], difference="percent_of_reference")

    assert (of_mean.bias, of_reference.bias) == pytest.approx((20, 10))


# Judging.


def one(limit: Limit, measured: Measured | None):
    found = {} if measured is None else {limit.measure: measured}
    return judge(found, [limit]).checks[0]


BIAS = Limit("bias", "Mean difference", -1, 1, "g/dL", 40)


@pytest.mark.parametrize(
    ("value", "outcome"), [(-1, "pass"), (1, "pass"), (-1.001, "fail"), (1.001, "fail")]
)
def test_a_figure_on_the_bound_keeps_the_limit_and_one_beyond_does_not(value, outcome):
    assert one(BIAS, Measured(value, 40)).outcome == outcome


@pytest.mark.parametrize(("n", "outcome"), [(39, "not_enough"), (40, "pass")])
def test_a_figure_from_too_few_readings_settles_nothing(n, outcome):
    assert one(BIAS, Measured(0.2, n)).outcome == outcome


def test_too_few_readings_say_how_many_more():
    check = one(BIAS, Measured(0.2, 39))

    assert check.reason == (
        f"Mean difference: 0.2{THIN}g/dL from 39 readings; the limit asks for 40."
    )
    assert check.settle == "Take 1 reading more."


@pytest.mark.parametrize(("low", "outcome"), [(1.01, "fail"), (0.99, "not_enough")])
def test_few_readings_suffice_where_no_more_could_help(low, outcome):
    assert one(BIAS, Measured(3, 10, Interval(low, 5))).outcome == outcome


def test_a_pass_says_so_when_its_interval_reaches_beyond_the_limit():
    check = one(BIAS, Measured(0.8, 40, Interval(0.4, 1.2)))

    assert check.outcome == "pass"
    assert check.settle == (
        f"The true figure may lie from 0.4 to 1.2{THIN}g/dL, beyond the limit: more readings "
        "would make it surer."
    )
    assert one(BIAS, Measured(0.2, 40, Interval(-0.1, 0.5))).settle == ""


@pytest.mark.parametrize(
    ("lower", "upper", "outcome"), [(-3, 3, "pass"), (-3.1, 2, "fail"), (-2, 3.1, "fail")]
)
def test_of_limits_of_agreement_both_ends_must_keep_the_limit(lower, upper, outcome):
    limit = Limit("limits_of_agreement", "95 % limits", -3, 3, "%", 40)

    assert one(limit, Measured(lower, 40, to=upper)).outcome == outcome


def test_what_was_not_measured_is_asked_for():
    check = one(Limit("cv_pct", "Variation", None, 5, "%"), None)

    assert (check.outcome, check.reason, check.settle) == (
        "not_enough",
        "Variation was not measured.",
        f"Measure it: it must be at most 5{THIN}%.",
    )


@pytest.mark.parametrize(
    ("outcomes", "overall"),
    [
        ((0, 0), "pass"),
        ((0, None), "not_enough"),
        ((None, 9), "fail"),
        ((9, 9), "fail"),
    ],
)
def test_one_broken_limit_fails_and_one_open_limit_leaves_it_open(outcomes, overall):
    limits = [Limit("a", "A", None, 5), Limit("b", "B", None, 5)]
    found = {
        limit.measure: Measured(value, 1)
        for limit, value in zip(limits, outcomes, strict=True)
        if value is not None
    }

    assert judge(found, limits).outcome == overall


def test_nothing_can_be_judged_without_a_limit():
    assert problems(judge, {}, []) == ("limits: expected at least one, found none",)


@pytest.mark.parametrize(
    ("low", "high", "samples", "said"),
    [
        (None, None, 1, "bias: expected a low or a high bound, found neither"),
        (2, 1, 1, "bias: expected low ≤ high, found 2 and 1"),
        (0, 1, 0, "bias: expected at least 1 sample, found 0"),
    ],
)
def test_a_limit_that_limits_nothing_is_refused(low, high, samples, said):
    assert problems(Limit, "bias", "Bias", low, high, "", samples) == (said,)


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        (Limit("a", "A", -1, 1, "%"), f"from \N{MINUS SIGN}1 to 1{THIN}%"),
        (Limit("a", "A", 10_000, None, "g"), f"at least 10{THIN}000{THIN}g"),
        (Limit("a", "A", None, 0.5), "at most 0.5"),
    ],
)
def test_a_limit_can_be_read_aloud(limit, words):
    assert limit.words == words


def test_results_outside_the_range_of_every_limit_are_not_judged():
    limit = Limit("total_error", "Error", -1, 1, "mmol/L", rule="r", range_low=10, range_high=20)

    [(_, measured)] = error_limits([9.0, 10.0, 19.0, 20.0], [9.0, 10.0, 19.0, 20.0], [limit])
    [(_, nothing)] = error_limits([5.0, 6.0], [5.0, 6.0], [limit])

    assert (measured.n, measured.value) == (2, 0)
    assert nothing is None


def test_limits_of_two_analytes_are_judged_apart():
    limits = [
        Limit("total_error", "Error", -1, 1, "x", 5, rule="r", analyte="a"),
        Limit("total_error_pct", "Error", -5, 5, "%", 9, rule="r", analyte="a"),
        Limit("total_error", "Error", -2, 2, "x", 5, rule="r", analyte="b"),
    ]

    found = [limit for limit, _ in error_limits([10.0, 12.0], [10.0, 12.0], limits)]

    assert [(limit.analyte, limit.minimum_samples) for limit in found] == [("a", 9), ("b", 5)]
    assert found[0].name == (f"Total error as a share of what is allowed (±1{THIN}x, or ±5{THIN}%)")


# Yes and no, duplicates, runs.


@pytest.mark.parametrize(("count", "of"), [(-1, 3), (4, 3), (0, 0)])
def test_a_share_counts_no_more_than_there_are(count, of):
    assert problems(share, count, of) == (
        f"count: expected from 0 to the number counted, found {count} of {of}",
    )


def test_a_table_without_positives_has_no_sensitivity():
    found = qualitative(0, 1, 0, 9)

    assert (found.sensitivity, found.specificity.count, found.n) == (None, 9, 10)
    assert problems(qualitative, 0, 0, 0, 0) == ("specimens: expected at least one, found none",)
    assert problems(qualitative, 1, -2, 0, 0) == ("false positive: expected 0 or more, found -2",)


def test_a_table_in_which_everything_is_positive_has_no_agreement_beyond_chance():
    assert qualitative(5, 0, 0, 0).kappa is None


def test_duplicates_that_are_all_zero_are_refused():
    assert problems(repeatability, [0.0, 0.0], [0.0, 0.0])[0].startswith("readings: expected one")


def test_duplicates_give_their_greatest_difference_and_variation():
    found = repeatability([40.0, 42.0, 38.0], [41.0, 42.0, 38.0])

    assert (found.n, found.greatest_difference) == (3, 1)
    assert found.sd == pytest.approx(np.sqrt(1 / 6))


def test_a_steady_run_holds_its_force_from_first_to_last():
    found = speed_log([0, 300], [10_000, 10_000], 9, band_g=(10_000, 15_000))

    assert (found.at_speed_s, found.in_band_s, found.cv_pct) == (300, 300, 0)
    assert found.rcf_g == pytest.approx(found.rcf_peak_g)


def test_a_run_that_touches_its_speed_once_is_at_speed_only_around_it():
    found = speed_log([0, 10, 20], [0, 1000, 0], 10)

    assert found.at_speed_s == pytest.approx(2)


@pytest.mark.parametrize("band", [(0, 12_000), (0, 1e5)])
def test_a_band_that_starts_at_nothing_counts_standstill(band):
    assert speed_log([0, 10, 20], [0, 1000, 0], 10, band_g=band).in_band_s == 20


@pytest.mark.parametrize(
    ("times", "speeds", "radius_cm", "start"),
    [
        ([0], [100], 9, "times and speeds: expected two lists of the same length"),
        ([0, 5, 5], [1, 2, 3], 9, "times and speeds: expected times that rise"),
        ([0, 5], [0, 0], 9, "speeds: expected at least one above 0 rpm"),
        ([0, 5], [1, math.nan], 9, "times and speeds: expected a number in each reading"),
        ([0, 300_000], [9000, 9000], 9, "times: expected at most 14400 s"),
        ([0, 5], [3000, 3000], 95, "radius: expected a number above 0 and at most 50 cm"),
        ([0, 5], [3000, 2e6], 9, "speed: expected a number of at least 0"),
        ([-1, 5], [3000, 3000], 9, "time: expected a number of at least 0"),
    ],
)
def test_a_log_that_is_no_run_is_refused(times, speeds, radius_cm, start):
    assert problems(speed_log, times, speeds, radius_cm)[0].startswith(start)


# What must hold of any readings.

AMOUNTS = st.lists(
    st.tuples(st.floats(10, 19), st.floats(10, 19)), min_size=2, max_size=40
)  # amounts near one another, so that nothing looks like two units


@given(AMOUNTS)
def test_whoever_is_called_the_reference_only_turns_the_signs_round(pairs):
    one, other = map(list, zip(*pairs, strict=True))

    forwards, backwards = bland_altman(one, other), bland_altman(other, one)

    assert (backwards.bias, backwards.sd) == pytest.approx((-forwards.bias, forwards.sd), abs=1e-9)
    assert (backwards.lower, backwards.upper) == pytest.approx(
        (-forwards.upper, -forwards.lower), abs=1e-9
    )


@given(AMOUNTS, st.sampled_from([0.1, 10, 18, 88.4]))
def test_another_unit_scales_every_figure_and_no_per_cent(pairs, factor):
    one, other = map(list, zip(*pairs, strict=True))
    scaled = [[factor * value for value in values] for values in (one, other)]

    before, after = bland_altman(one, other), bland_altman(*scaled)
    percent = [
        bland_altman(*given, difference="percent_of_reference") for given in ((one, other), scaled)
    ]

    assert (after.bias, after.sd) == pytest.approx(
        (factor * before.bias, factor * before.sd), abs=1e-9
    )
    assert percent[1].bias == pytest.approx(percent[0].bias, abs=1e-9)


@given(
    st.lists(st.floats(0, 20_000), min_size=3, max_size=30).filter(lambda speeds: max(speeds) > 1),
    st.floats(1, 15_000),
)
def test_the_time_of_a_run_is_spent_below_within_or_above_any_force(speeds, force):
    times = [10.0 * at for at in range(len(speeds))]

    below = speed_log(times, speeds, 9, band_g=(0, force)).in_band_s
    above = speed_log(times, speeds, 9, band_g=(force, 1e6)).in_band_s

    # Steady stretches at exactly the force are both.
    assert below + above >= times[-1] - 1e-6
    assert max(below, above) <= times[-1] + 1e-6
