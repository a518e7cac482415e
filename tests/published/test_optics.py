"""Microscopy against printed tables and textbooks. Each row says where its figure comes from."""

import numpy as np
import pint
import pytest
import scipy.optimize
import scipy.special

from planner.engine.physics import optics
from planner.engine.physics.features import FEATURES, sight

RAYLEIGH = [
    # numerical aperture, wavelength nm, resolved µm as printed, digits printed, source
    (0.13, 515, 2.42, 2, "table after Inoué 1986, Video Microscopy, p. 114 (seen)"),
    (0.45, 515, 0.70, 2, "table after Inoué 1986 (seen)"),
    (0.75, 515, 0.42, 2, "table after Inoué 1986 (seen)"),
    (1.30, 515, 0.24, 2, "table after Inoué 1986 (seen)"),
    (1.40, 515, 0.22, 2, "table after Inoué 1986 (seen)"),
    (1.40, 580, 0.25, 2, "table after Inoué 1986 (seen)"),
    (1.40, 670, 0.29, 2, "table after Inoué 1986 (seen)"),
    (0.10, 500, 3.05, 2, "solved exercise (seen)"),
    (0.25, 550, 1.34, 2, "solved exercise with 0.612 (seen)"),
]


@pytest.mark.parametrize(("aperture", "wavelength_nm", "printed_um", "digits", "source"), RAYLEIGH)
def test_two_points_are_told_apart_as_tables_print(
    aperture, wavelength_nm, printed_um, digits, source
):
    resolved = optics.rayleigh_um(aperture, wavelength_nm)

    assert resolved == pytest.approx(printed_um, abs=0.51 * 10**-digits), source


ABBE = [
    # numerical aperture, wavelength nm, resolved µm, source
    (0.65, 530, 0.408, "40x objective in green light (seen)"),
    (0.10, 550, 2.75, "objective table of a microscopy course (from memory)"),
    (0.25, 550, 1.10, "objective table of a microscopy course (from memory)"),
    (0.40, 550, 0.69, "objective table of a microscopy course (from memory)"),
    (0.65, 550, 0.42, "objective table of a microscopy course (from memory)"),
    (1.25, 550, 0.22, "objective table of a microscopy course (from memory)"),
]


@pytest.mark.parametrize(("aperture", "wavelength_nm", "printed_um", "source"), ABBE)
def test_a_grating_is_resolved_as_tables_print(aperture, wavelength_nm, printed_um, source):
    assert optics.abbe_um(aperture, wavelength_nm) == pytest.approx(printed_um, abs=5e-3), source


def test_the_factor_of_rayleigh_is_the_first_zero_of_a_bessel_function():
    """Reference: scipy.special.jn_zeros, the first dark ring of a circular opening."""
    factor = scipy.special.jn_zeros(1, 1)[0] / (2 * np.pi)

    assert optics.rayleigh_um(1, 1000) == pytest.approx(factor, rel=5e-4)


def test_between_two_points_that_are_just_told_apart_the_light_falls_to_three_quarters():
    """Two Airy patterns at the Rayleigh distance dip to 0.735 (Born and Wolf, from memory)."""
    wave_number, aperture = 2 * np.pi / 0.55, 0.65
    apart = float(optics.rayleigh_um(aperture, 550))

    def light(at_um: float) -> float:
        reaches = wave_number * aperture * np.abs(np.array([at_um, at_um - apart])) + 1e-12
        return float(((2 * scipy.special.j1(reaches) / reaches) ** 2).sum())

    brightest = scipy.optimize.minimize_scalar(
        lambda at: -light(at), bounds=(-apart / 3, apart / 3), method="bounded"
    )
    assert light(apart / 2) / -brightest.fun == pytest.approx(0.735, abs=5e-3)


DEPTHS = [
    # numerical aperture, index, wavelength nm, depth µm, source
    (0.20, 1.51, 780, 29.4, "Biophotonics: Concepts to Applications, example 8.4 (seen)"),
    (0.55, 1.51, 780, 3.89, "Biophotonics: Concepts to Applications, example 8.4 (seen)"),
    (0.10, 1.00, 550, 55, "λ / NA², 4x objective (computed; course tables print 55.5)"),
]


@pytest.mark.parametrize(("aperture", "index", "wavelength_nm", "depth_um", "source"), DEPTHS)
def test_the_wave_part_of_the_depth_of_field_is_the_textbooks(
    aperture, index, wavelength_nm, depth_um, source
):
    # A detector of a thousandth of a micrometre leaves the wave part alone.
    depth = optics.depth_of_field_um(aperture, 100, 1e-3, wavelength_nm, index)

    assert depth == pytest.approx(depth_um, rel=3e-3), source


def test_the_whole_depth_of_field_agrees_with_a_library_of_units():
    """Reference: pint, λ n / NA² + n e / (M NA) as microscopy courses print it (seen)."""
    units = pint.UnitRegistry()
    wave = 550 * units.nm * 1.515 / 1.25**2
    geometric = 1.515 * 10 * units.um / (100 * 1.25)

    depth = optics.depth_of_field_um(1.25, 100, 10, 550, 1.515)

    assert depth == pytest.approx((wave + geometric).to("um").magnitude, rel=1e-12)


FIELDS = [
    # field number mm, objective, diameter mm, source
    (20, 100, 0.20, "common practice, no source"),
    (18, 40, 0.45, "common practice, no source"),
    (20, 10, 2.0, "common practice, no source"),
]


@pytest.mark.parametrize(("field_number", "objective", "expected_mm", "source"), FIELDS)
def test_a_field_is_the_field_number_over_the_objective(
    field_number, objective, expected_mm, source
):
    assert optics.field_mm(field_number, objective) == pytest.approx(expected_mm), source


def test_a_sputum_smear_holds_ten_thousand_oil_fields():
    """A smear of 200 mm² with fields of 0.02 mm² has 10 000 (national TB manuals, seen)."""
    diameter_mm = np.sqrt(0.02 * 4 / np.pi)

    assert optics.fields_in_area(200, diameter_mm) == pytest.approx(10_000, rel=1e-9)
    assert optics.field_mm(16, 100) == pytest.approx(diameter_mm, rel=0.01)


def test_fluorescence_at_low_power_sees_many_times_the_field():
    """'At least 17 times wider' than under oil (TB course, seen); 100x against 20-25x."""
    oil, low = optics.field_mm(18, 100), optics.field_mm(18, 24)

    assert (low / oil) ** 2 == pytest.approx(17, rel=0.03)


def test_a_hundred_fields_take_five_minutes():
    """At least 5 minutes or 100 fields for a sputum smear (TB training module, seen)."""
    assert optics.slide_minutes(100, 3) == pytest.approx(5)


def test_a_thick_smear_takes_the_minutes_that_were_observed():
    """360 slides in 65 h 05 min are 10.85 min each (Parasites & Vectors 2015, seen)."""
    per_slide_s = (65 * 60 + 5) * 60 / 360

    assert optics.slide_minutes(1, 0, per_slide_s) == pytest.approx(10.85, abs=5e-3)


def test_a_thousandfold_magnification_serves_an_oil_objective():
    """500 to 1000 times the aperture (textbooks): 625 to 1250 at NA 1.25."""
    least, most = optics.useful_magnification(1.25)

    assert (float(least), float(most)) == (625, 1250)
    assert least <= optics.total_magnification(100, 10) <= most


SIZES = [
    # feature, printed width and length in µm, source
    ("ascaris-egg", (35, 45), (45, 70), "public-health table of nematode eggs (seen)"),
    ("trichuris-egg", (20, 29), (49, 65), "public-health table of nematode eggs (seen)"),
    ("hookworm-egg", (35, 47), (57, 76), "public-health table of nematode eggs (seen)"),
    ("pinworm-egg", (20, 32), (50, 60), "public-health table of nematode eggs (seen)"),
    ("mansoni-egg", (45, 70), (114, 180), "public-health parasitology page (seen)"),
    ("haematobium-egg", (40, 70), (110, 170), "public-health parasitology page (from memory)"),
    ("giardia-cyst", (7, 10), (8, 19), "public-health parasitology page (from memory)"),
    ("trypanosome", (1.5, 3.5), (14, 33), "textbook (from memory)"),
    ("microfilaria", (7.5, 10), (244, 296), "public-health parasitology page (from memory)"),
    ("acid-fast-bacillus", (0.2, 0.5), (1, 10), "tuberculosis manuals (from memory)"),
    ("gram-coccus", (0.5, 1.5), (0.5, 1.5), "textbook (from memory)"),
    ("malaria-ring", (1, 2), (1, 2), "textbook: a sixth to a third of a red cell (from memory)"),
    ("red-cell", (6.2, 8.2), (6.2, 8.2), "textbook (from memory)"),
]


@pytest.mark.parametrize(("feature", "width_um", "length_um", "source"), SIZES)
def test_parasites_and_cells_have_their_printed_sizes(feature, width_um, length_um, source):
    known = FEATURES[feature]

    assert (known.width_um, known.length_um) == (width_um, length_um), source


SIGHTS = [
    # feature, numerical aperture, what is made of it, source
    ("malaria-ring", 1.25, "resolved", "WHO asks for the 100x oil objective (from memory)"),
    ("acid-fast-bacillus", 1.25, "noticed", "0.2-0.5 µm wide: a stained line (from memory)"),
    ("acid-fast-bacillus", 0.10, "not_resolved", "computed"),
    ("haematobium-egg", 0.10, "resolved", "eggs are found at 40-100x (common practice)"),
    ("ascaris-egg", 0.25, "resolved", "eggs are found at 100x (common practice)"),
    ("malaria-ring", 0.25, "not_resolved", "computed: 1.34 µm"),
]


@pytest.mark.parametrize(("feature", "aperture", "expected", "source"), SIGHTS)
def test_objectives_show_what_they_are_used_for(feature, aperture, expected, source):
    resolved = float(optics.rayleigh_um(aperture))

    assert sight(FEATURES[feature], resolved) == expected, source


def test_a_phone_camera_samples_at_two_pixels():
    """Nyquist: 1.4 µm pixels behind 4x show nothing finer than 0.7 µm (computed)."""
    assert optics.sampling_um(1.4, 4) == pytest.approx(0.7)
    assert optics.resolution_um(0.65, 550, 1.4, 4) == pytest.approx(0.7)
    assert optics.resolution_um(0.25, 550, 1.4, 4) == pytest.approx(1.342)


def test_a_camera_shows_a_grating_up_to_its_sampling_limit_and_a_false_one_beyond():
    """Reference: numpy.fft, the period that 64 pixels make of gratings of known period."""
    pixels_um = np.arange(64) * 0.5
    finest = float(optics.sampling_um(0.5, 1))

    def period_shown(period_um: float) -> float:
        strength = np.abs(np.fft.rfft(np.cos(2 * np.pi * pixels_um / period_um)))
        return 1 / np.fft.rfftfreq(64, 0.5)[strength[1:].argmax() + 1]

    coarse, too_fine = 32 / 31, 32 / 33
    assert too_fine < finest < coarse
    assert period_shown(coarse) == pytest.approx(coarse)
    assert period_shown(too_fine) == pytest.approx(coarse)
