"""Centrifugation against handbook values. Each row says where its figure comes from."""

import numpy as np
import pint
import pytest
import scipy.constants
import scipy.integrate

from planner.engine.errors import InputError
from planner.engine.physics import drag, settling, spin

FORCES = [
    # radius cm, speed rpm, RCF g, relative tolerance, source
    (5, 10_000, 5590, 5e-4, "teaching text, with 1.118e-5 (seen)"),
    (10, 1000, 112, 5e-3, "rotor nomograph (from memory)"),
    (10, 2000, 447, 1e-3, "rotor nomograph (from memory)"),
    (10, 3000, 1006, 1e-3, "rotor nomograph (from memory)"),
    (10, 4000, 1789, 1e-3, "rotor nomograph (from memory)"),
    (10, 5000, 2795, 1e-3, "rotor nomograph (from memory)"),
    (15, 3000, 1509, 1e-3, "rotor table (from memory)"),
    (16, 4000, 2862, 1e-3, "rotor table (from memory)"),
]


@pytest.mark.parametrize(("radius_cm", "speed", "expected_g", "tolerance", "source"), FORCES)
def test_the_force_is_what_handbooks_print(radius_cm, speed, expected_g, tolerance, source):
    assert spin.rcf_g(speed, radius_cm) == pytest.approx(expected_g, rel=tolerance), source


def test_the_constant_follows_from_standard_gravity():
    """Reference: scipy.constants.g, the CODATA table's exact standard acceleration."""
    exact = (2 * np.pi / 60) ** 2 * 0.01 / scipy.constants.g

    assert pytest.approx(exact, rel=1e-12) == spin.RCF_PER_CM_RPM2
    assert pytest.approx(1.118243958e-5, rel=1e-9) == spin.RCF_PER_CM_RPM2


def test_the_force_agrees_with_a_library_of_units():
    """Reference: pint, from ω² r in SI units."""
    units = pint.UnitRegistry()
    omega = (4321 * units.revolution / units.minute).to(units.radian / units.second)
    acceleration = (omega**2 * 7.7 * units.centimeter).to("radian**2 * m / s**2").magnitude

    assert spin.rcf_g(4321, 7.7) == pytest.approx(acceleration / 9.80665, rel=1e-12)


@pytest.mark.parametrize(
    ("rcf", "radius_cm", "expected_rpm"),
    [(400, 10, 1891), (400, 16, 1495), (500, 10, 2115), (500, 15, 1727), (1500, 16, 2896),
     (3000, 16, 5180 * np.sqrt(10 / 16)), (12_000, 9, 10_920)],
)  # fmt: skip
def test_the_speed_for_a_force_inverts_the_formula(rcf, radius_cm, expected_rpm):
    assert spin.speed_rpm(rcf, radius_cm) == pytest.approx(expected_rpm, abs=1)


@pytest.mark.parametrize(
    ("rcf", "speed", "expected_cm", "source"),
    [
        (30_000, 125_000, 0.1717, "hand-spun disc claim (common practice, no source)"),
        (15_290, 1200, 949.5, "haematocrit head, speed misprinted (seen)"),
        (15_290, 12_000, 9.495, "the same with the speed put right"),
    ],
)
def test_a_claim_of_force_and_speed_gives_its_radius_away(rcf, speed, expected_cm, source):
    assert spin.implied_radius_cm(rcf, speed) == pytest.approx(expected_cm, rel=1e-3), source


def test_five_per_cent_of_the_speed_are_ten_of_the_force():
    """Algebra: 0.95² − 1 and 1.05² − 1."""
    low, high = spin.rcf_error_bounds(0.05)

    assert (float(low), float(high)) == pytest.approx((-0.0975, 0.1025), abs=1e-12)


def test_the_clearing_factor_is_the_handbooks():
    """Handbooks print 2.53e11 · ln(r_max/r_min) / rpm² (seen)."""
    constant = settling.k_factor(1, 1, np.e)

    assert constant == pytest.approx(2.53e11, rel=2e-3)
    assert settling.k_factor(3000, 8, 16) == pytest.approx(19_508, abs=1)
    assert 60 * settling.pelleting_minutes(19_508, 1e6) == pytest.approx(70.2, abs=0.1)


def test_a_clearing_factor_needs_the_surface_nearer_than_the_tip():
    assert np.isnan(settling.k_factor(3000, 16, 8))


def test_red_cells_settle_at_a_micrometre_a_second():
    """Densities 1.100 and 1.025 g/mL, 1.2 mPa·s, 90 fL cells (handbook values, from memory)."""
    velocity = settling.settling_um_s(5.56, 1100, 1025, 1.2)

    assert velocity == pytest.approx(1.053, rel=5e-3)
    assert velocity * 3.6 == pytest.approx(3.79, rel=5e-3)


@pytest.mark.parametrize(("rcf", "minutes"), [(1000, 15.3), (1500, 10.2), (2000, 7.7), (3000, 5.1)])
def test_crowded_red_cells_take_the_minutes_of_plasma_guidance(rcf, minutes):
    """10-15 min at 1000-2000 g (WHO/DIL/LAB/99.1 Rev.2, from memory); exponent 4.65."""
    velocity = settling.settling_um_s(5.56, 1100, 1025, 1.2, rcf)

    assert settling.settling_minutes(60, velocity, 0.45) == pytest.approx(minutes, abs=0.05)


def test_a_particle_lighter_than_the_fluid_never_settles():
    assert np.isnan(settling.settling_minutes(60, settling.settling_um_s(5, 1000, 1025, 1.2)))


def test_an_oscillating_spin_counts_by_its_squared_speed():
    """Reference: scipy.integrate.quad of K r n(t)² for a triangular oscillation."""
    times_s, speeds = [0, 1, 2, 3], [0, 12_000, 0, 12_000]

    exact, _ = scipy.integrate.quad(
        lambda t: spin.RCF_PER_CM_RPM2 * 5 * np.interp(t, times_s, speeds) ** 2, 0, 3, points=[1, 2]
    )

    assert spin.g_minutes(times_s, speeds, 5) == pytest.approx(exact / 60, rel=1e-9)
    assert spin.g_minutes(times_s, speeds, 5) == pytest.approx(
        spin.rcf_g(12_000, 5) / 3 * 3 / 60, rel=1e-9
    )


def test_equal_g_minutes_are_refused_unless_a_method_allows_them():
    """1500 g for 15 min and 3500 g for 7 min are not the same plasma (Clin Lab 2022, seen)."""
    assert np.isnan(spin.equivalent_minutes(3500, 1500, 15))
    assert np.isnan(spin.equivalent_minutes(3500, 1500, 15, scaling="within_band"))
    assert spin.equivalent_minutes(2000, 1500, 15, scaling="within_band") == pytest.approx(11.25)
    assert spin.equivalent_minutes(1500, 1500, 15) == pytest.approx(15)


@pytest.mark.parametrize(
    ("factor", "allowed"), [(0.749, False), (0.75, True), (1.5, True), (1.501, False)]
)
def test_the_band_of_equal_g_minutes_ends_at_three_quarters_and_one_and_a_half(factor, allowed):
    minutes = spin.equivalent_minutes(1000 * factor, 1000, 10, scaling="within_band")

    assert np.isfinite(minutes) == allowed


def test_the_moment_of_a_disc_is_the_textbooks():
    """T = 0.616πρR⁴√(νΩ³) and 0.073ρΩ²R⁵Re^-1/5 (transport-phenomena problem, seen)."""
    assert drag.disc_moment_coefficient(1.0, False) == pytest.approx(2 * 0.616 * np.pi, rel=1e-3)
    assert drag.disc_moment_coefficient(1.0, True) == pytest.approx(2 * 0.073, rel=1e-3)


@pytest.mark.parametrize(
    ("radius_m", "speed", "laminar_w", "turbulent_w"),
    [(0.05, 5000, 0.36, 0.41), (0.05, 12_000, 3.2, 4.7), (0.05, 20_000, 11.38, 19.69),
     (0.005, 125_000, 0.11, 0.08), (0.10, 10_000, 32, 69), (0.10, 20_000, 182, 478)],
)  # fmt: skip
def test_the_air_takes_its_power_from_a_disc(radius_m, speed, laminar_w, turbulent_w):
    """Computed from the textbook coefficients with air at 20 °C."""
    laminar = drag.disc_power_w(radius_m, speed, "laminar")
    turbulent = drag.disc_power_w(radius_m, speed, "turbulent")

    assert (laminar, turbulent) == (
        pytest.approx(laminar_w, rel=0.03, abs=0.005),
        pytest.approx(turbulent_w, rel=0.03, abs=0.005),
    )


@pytest.mark.parametrize(("speed", "watts"), [(1000, 7.8), (1500, 26), (2000, 63), (3000, 211)])
def test_four_open_tubes_outrun_a_hand_between_1500_and_3000_rpm(speed, watts):
    """Four tubes of 16 mm from 60 to 160 mm, drag coefficient 1.1 (computed)."""
    power = drag.open_tubes_power_w(4, 0.016, 0.06, 0.16, speed)

    assert power == pytest.approx(watts, rel=0.02)


@pytest.mark.parametrize(
    ("watts", "verdict"),
    [(30, "plausible"), (30.1, "questionable"), (100, "questionable"), (100.1, "implausible")],
)
def test_what_a_hand_can_drive_ends_at_100_watts(watts, verdict):
    assert drag.hand_drive(watts) == verdict


def test_a_large_fast_disc_is_implausible_by_hand():
    assert drag.hand_drive(float(drag.disc_power_w(0.10, 20_000))) == "implausible"


def test_a_rim_and_its_energy_follow_from_the_speed():
    """ω R and ½ I ω² at 10 000 rpm: 104.7 m/s at 10 cm, and 548 J for 0.001 kg·m²."""
    assert drag.rim_speed_m_s(0.1, 10_000) == pytest.approx(104.72, abs=0.01)
    assert drag.spin_up_energy_j(0.001, 10_000) == pytest.approx(548.3, abs=0.1)


@pytest.mark.parametrize(
    ("compute", "line"),
    [
        (
            lambda: spin.rcf_g(-1, 10),
            "speed: expected a number above 0 and at most 1e+06 rpm, found -1"
            " (is this the RCF, or turns per second?)",
        ),
        (
            lambda: spin.rcf_g(3000, 160),
            "radius: expected a number above 0 and at most 50 cm, found 160"
            " (is this in mm? Divide by 10)",
        ),
        (
            lambda: spin.g_minutes([0, 0], [1000, 1000], 10),
            "times and speeds: expected times that rise from reading to reading",
        ),
        (
            lambda: spin.g_minutes([0], [1000], 10),
            "times and speeds: expected two lists of the same length, with at least two readings",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_the_usual_slip(compute, line):
    with pytest.raises(InputError) as refusal:
        compute()

    assert refusal.value.problems == (line,)


def test_an_unknown_radius_leaves_the_force_unknown():
    assert np.isnan(spin.rcf_g(3000, np.nan))


def test_arrays_broadcast():
    forces = spin.rcf_g(np.array([[1000], [2000]]), np.array([5, 10, 15]))

    assert forces.shape == (2, 3)
    assert forces[1, 2] == pytest.approx(spin.rcf_g(2000, 15))
