"""What the check of a claim says, at its boundaries and of what cannot be."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.errors import InputError
from planner.engine.physics import drag, spin
from planner.engine.physics.claims import Claim, ClaimReport, Reason, bands, claim_check
from planner.engine.physics.quantities import THIN

MEASURE_RADIUS = "Measure the radius from the axis to the far end of tube or capillary, in cm."
READ_SPEED = "Read the speed at the stated load with a tachometer."


def plain(text: str) -> str:
    return text.replace(THIN, " ")


def codes(**said) -> list[str]:
    return [reason.code for reason in claim_check(Claim(**said)).reasons]


def verdict(**said) -> str:
    return claim_check(Claim(**said)).verdict


def test_a_speed_alone_is_unknown_and_the_report_says_what_would_settle_it():
    report = claim_check(Claim(speed_rpm=4000))

    assert report == ClaimReport(
        verdict="unknown",
        speed_rpm=4000,
        radius_cm=None,
        rcf_g=None,
        implied=(),
        power_at_least_w=None,
        rim_speed_m_s=None,
        reasons=(
            Reason(
                "radius_missing",
                f"4{THIN}000{THIN}rpm say nothing of the force without a radius: 357.8{THIN}g at "
                f"2{THIN}cm, 4{THIN}473{THIN}g at 25{THIN}cm.",
            ),
        ),
        settle=(MEASURE_RADIUS,),
        cautions=(),
    )


@pytest.mark.parametrize(
    ("said", "code", "settle"),
    [
        ({}, "nothing_stated", (READ_SPEED, MEASURE_RADIUS)),
        ({"radius_cm": 10}, "speed_missing", (READ_SPEED,)),
        ({"rcf_g": 1500}, "speed_and_radius_missing", (READ_SPEED, MEASURE_RADIUS)),
        ({"speed_rpm": 3000}, "radius_missing", (MEASURE_RADIUS,)),
        ({"speed_rpm": 3000, "radius_cm": math.nan}, "radius_missing", (MEASURE_RADIUS,)),
    ],
)
def test_what_is_not_said_is_unknown_and_never_guessed(said, code, settle):
    report = claim_check(Claim(**said))

    assert (report.verdict, report.reasons[0].code, report.settle) == ("unknown", code, settle)


def test_newtons_are_turned_into_what_they_would_be_on_a_gram_and_on_a_tube():
    """50 N on 1 g and on 15 g, over 9.80665 m/s²."""
    reason = claim_check(Claim(force_n=50)).reasons[0]

    assert reason.code == "newton_is_not_rcf"
    assert plain(reason.text) == (
        "50 N is a force on a mass that is not stated, no relative centrifugal force: on 1 g it "
        "would be 5 099 g, on a filled tube of 15 g 339.9 g."
    )


def test_the_report_says_within_what_figures_agree():
    reasons = claim_check(Claim(speed_rpm=3000, radius_cm=10, rcf_g=1006)).reasons

    assert [plain(reason.text) for reason in reasons] == [
        "3 000 rpm at 10 cm give 1 006 g; stated are 1 006 g, within −9.9 to +10.5 %."
    ]


@pytest.mark.parametrize(
    ("share_of_the_force", "expected"),
    [(0.9006, "inconsistent"), (0.9008, "consistent"), (1.1047, "consistent"),
     (1.1048, "inconsistent")],
)  # fmt: skip
def test_three_figures_agree_within_the_error_of_speed_and_constant(share_of_the_force, expected):
    """0.9025 × 0.998 = 0.900695 and 1.1025 × 1.002 = 1.104705."""
    force = float(spin.rcf_g(3000, 10)) * share_of_the_force

    assert verdict(speed_rpm=3000, radius_cm=10, rcf_g=force) == expected


@pytest.mark.parametrize(
    ("rotor", "radius_cm", "expected"),
    [("tube", 1.99, "inconsistent"), ("tube", 2, "consistent"), ("tube", 25, "consistent"),
     ("tube", 25.01, "inconsistent"), ("capillary", 0.299, "inconsistent"),
     ("capillary", 0.3, "consistent"), ("capillary", 12, "consistent"),
     ("capillary", 12.01, "inconsistent"), ("disc", 0.299, "inconsistent"),
     ("disc", 0.3, "consistent"), ("disc", 12, "consistent"), ("disc", 12.01, "inconsistent")],
)  # fmt: skip
def test_rotors_have_their_usual_radii(rotor, radius_cm, expected):
    assert verdict(speed_rpm=1000, radius_cm=radius_cm, rotor=rotor) == expected


@pytest.mark.parametrize(
    ("said", "hint"),
    [
        ({"speed_rpm": 1006, "rcf_g": 3000, "radius_cm": 10},
         "speed and force agree if they are exchanged."),
        # 911 g imply 9.05 cm, which agrees with 10 only just: the factor itself is at stake.
        ({"speed_rpm": 3000, "rcf_g": 911, "radius_cm": 20},
         "the radius agrees if the diameter was given: halve it."),
        ({"speed_rpm": 3000, "rcf_g": 365, "radius_cm": 40},
         "the radius agrees if it was given in mm: divide by 10."),
        ({"speed_rpm": 3000, "rcf_g": 911, "radius_cm": 0.1},
         "the radius agrees if it was given in m: multiply by 100."),
        ({"speed_rpm": 3000, "rcf_g": 911, "radius_cm": 3.937},
         "the radius agrees if it was given in inches: multiply by 2.54."),
        ({"speed_rpm": 3000, "rcf_g": 700, "radius_cm": 10},
         "The force would need a radius of 6.955 cm."),
    ],
)  # fmt: skip
def test_figures_that_disagree_name_the_slip_that_would_explain_them(said, hint):
    reasons = claim_check(Claim(**said)).reasons

    assert reasons[0].code == "figures_disagree"
    assert plain(reasons[0].text).endswith(hint)


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"radius_cm": 5, "rotor_radius_cm": 5}, False),
        ({"radius_cm": 5.01, "rotor_radius_cm": 5}, True),
        # 3000 rpm and 1006 g imply 10.0 cm, or 9.0 cm if the speed is 5 % higher.
        ({"rcf_g": 1006.4, "rotor_radius_cm": 9.01}, False),
        ({"rcf_g": 1006.4, "rotor_radius_cm": 9.00}, True),
    ],
)
def test_a_force_cannot_act_outside_its_rotor(said, expected):
    assert ("radius_outside_rotor" in codes(speed_rpm=3000, **said)) == expected


def test_a_speed_that_no_centrifuge_has_is_not_worked_with_further():
    report = claim_check(Claim(rcf_g=1_000_000, radius_cm=0.05, rotor="disc"))

    assert report.verdict == "inconsistent"
    assert "implied_speed_rpm_impossible" in [reason.code for reason in report.reasons]
    assert (report.power_at_least_w, report.rim_speed_m_s) == (None, None)


def test_a_force_that_no_centrifuge_has_is_inconsistent():
    assert "implied_rcf_g_impossible" in codes(speed_rpm=500_000, radius_cm=10)


@pytest.mark.parametrize(("power_w", "expected"), [(85.6, True), (85.7, False)])
def test_a_stated_power_must_cover_what_the_air_takes(power_w, expected):
    """A bare disc of 9.495 cm takes 85.65 W at 12 000 rpm."""
    said = {"speed_rpm": 12_000, "rcf_g": 15_290, "rotor": "capillary", "power_w": power_w}

    assert ("power_too_small" in codes(**said)) == expected


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"power_w": 30}, "within_a_hand"),
        ({"power_w": 30.1}, "questionable_by_hand"),
        ({"power_w": 100}, "questionable_by_hand"),
        ({"power_w": 100.1}, "beyond_a_person"),
        ({"power_w": 75, "minutes": 2}, "questionable_by_hand"),
        ({"power_w": 75.1, "minutes": 2}, "beyond_the_arms_for_so_long"),
        ({"power_w": 30, "minutes": 15}, "within_a_hand"),
        ({"power_w": 30, "minutes": 15.1}, "beyond_the_arms_for_so_long"),
    ],
)
def test_what_a_hand_gives_ends_with_power_and_minutes(said, expected):
    assert codes(drive="hand", **said)[-1] == expected


def test_a_motor_is_not_judged_by_what_a_hand_gives():
    assert verdict(speed_rpm=20_000, radius_cm=10, drive="mains") == "consistent"


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"drive": "hand", "speed_rpm": 100_000}, "unknown"),
        ({"drive": "hand", "speed_rpm": 250_000}, "implausible_by_hand"),
        ({"drive": "mains", "power_w": 1, "speed_rpm": 100_000}, "inconsistent"),
    ],
)
def test_speed_and_power_bound_the_rotor_without_a_radius(said, expected):
    """100 W turn 3.1 cm at 100 000 rpm and 1.8 cm at 250 000; tube rotors begin at 2 cm."""
    report = claim_check(Claim(**said))

    assert report.verdict == expected
    assert "power_bounds_the_rotor" in [reason.code for reason in report.reasons]


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (
            {"drive": "hand", "radius_kind": "r_max"},
            [
                "A hand does not hold a speed, and the force goes with its square: log every run.",
                "Four open tubes of 16 mm would take up to 63 W: without a shroud expect less "
                "speed.",
            ],
        ),
        (
            {"radius_kind": "r_av"},
            [
                "The figures are for r_av; methods ask for the force at r_max. Do not compare "
                "the two."
            ],
        ),
        (
            {},
            ["Which radius is meant (r_max, r_av or r_min) is not stated; r_max is the largest."],
        ),
    ],
)
def test_cautions_are_said_even_of_what_is_consistent(said, expected):
    report = claim_check(Claim(speed_rpm=2000, radius_cm=16, **said))

    assert report.verdict == "consistent"
    assert [plain(caution) for caution in report.cautions] == expected


@pytest.mark.parametrize(
    ("material", "begins"), [("polymer", "This rotor"), (None, "If it is paper or plastic")]
)
def test_a_fast_rim_is_cautioned_against_unless_it_is_metal(material, begins):
    fast = Claim(speed_rpm=20_000, radius_cm=5, rotor="disc", radius_kind="r_max")

    assert claim_check(fast).cautions[0].startswith("If it is paper")
    assert claim_check(Claim(**{**vars(fast), "material": material})).cautions[0].startswith(begins)
    assert claim_check(Claim(**{**vars(fast), "material": "metal"})).cautions == ()


def test_everything_impossible_is_named_at_once():
    with pytest.raises(InputError) as refusal:
        claim_check(
            Claim(speed_rpm=-1, radius_cm=160, rotor_radius_cm=60, minutes=-5, drive="pedals")
        )

    assert refusal.value.problems == (
        "speed: expected a number above 0 and at most 1e+06 rpm, found -1"
        " (is this the RCF, or turns per second?)",
        "radius: expected a number above 0 and at most 50 cm, found 160"
        " (is this in mm? Divide by 10)",
        "drive: expected one of hand, mains, battery, found 'pedals'",
        "rotor radius: expected a number above 0 and at most 50 cm, found 60"
        " (is this in mm? Divide by 10)",
        "time: expected a number of at least 0 and at most 100000 min, found -5",
    )


def test_bands_hold_both_ends_and_know_what_is_not_known():
    speeds = np.array([2999, 3000, 4000, 4001, np.nan])
    low, high = (float(spin.rcf_g(speed, 10)) for speed in (3000, 4000))

    inside = bands(speeds, 10, [("serum", low, high)])

    np.testing.assert_array_equal(inside["serum"], [0, 1, 1, 0, np.nan])


def test_a_band_may_be_open_above_but_not_end_below_its_start():
    grid = bands(np.array([[1000], [9000]]), np.array([5.0, 10.0]), [("any", 0, math.inf)])

    assert grid["any"].tolist() == [[1, 1], [1, 1]]
    with pytest.raises(InputError) as refusal:
        bands(1000, 10, [("serum", 2000, 1000)])
    assert refusal.value.problems == ("serum: ends at 1000 g, below its start at 2000 g",)


@given(speed=st.floats(100, 50_000), radius_cm=st.floats(2.01, 24.9))
def test_any_two_figures_of_one_rotor_give_the_third(speed, radius_cm):
    force = float(spin.rcf_g(speed, radius_cm))

    from_force_and_speed = claim_check(Claim(speed_rpm=speed, rcf_g=force))
    from_force_and_radius = claim_check(Claim(radius_cm=radius_cm, rcf_g=force))

    assert from_force_and_speed.radius_cm == pytest.approx(radius_cm, rel=1e-9)
    assert from_force_and_radius.speed_rpm == pytest.approx(speed, rel=1e-9)
    assert (from_force_and_speed.verdict, from_force_and_radius.verdict) == (
        "consistent",
        "consistent",
    )


@given(
    radius_m=st.floats(0.001, 0.5),
    speed=st.floats(10, 900_000),
    more=st.floats(1.0001, 1.1),
)
def test_a_faster_or_larger_disc_always_takes_more(radius_m, speed, more):
    power = drag.disc_power_w(radius_m, speed)

    assert drag.disc_power_w(radius_m, speed * more) > power
    assert drag.disc_power_w(min(radius_m * more, 1), speed) > power
    assert power >= drag.disc_power_w(radius_m, speed, "laminar") * (1 - 1e-12)
