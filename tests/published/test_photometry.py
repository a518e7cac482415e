"""Photometry against printed tables, standard methods and libraries of units and numbers."""

import numpy as np
import pint
import pytest
import scipy.optimize

from planner.engine.physics import photometric_errors as errors
from planner.engine.physics import photometry

NOISE = [
    # transmittance, relative error of the concentration in %, digits printed
    # for an error of the transmittance of 0.003 (Skoog, Holler and Crouch, from memory)
    (0.95, 6.2, 1),
    (0.90, 3.2, 1),
    (0.80, 1.7, 1),
    (0.60, 0.98, 2),
    (0.40, 0.82, 2),
    (0.20, 0.93, 2),
    (0.10, 1.3, 1),
    (0.032, 2.7, 1),
    (0.010, 6.5, 1),
    (0.0032, 16.3, 1),
    (0.0010, 43.4, 1),
]


@pytest.mark.parametrize(("transmitted", "printed_pct", "digits"), NOISE)
def test_a_reading_error_grows_towards_both_ends_as_textbooks_print(
    transmitted, printed_pct, digits
):
    share = errors.noise_share(photometry.absorbance(transmitted), 0.003)

    assert 100 * share == pytest.approx(printed_pct, abs=0.6 * 10**-digits)


def test_the_least_reading_error_is_at_an_absorbance_of_0_434():
    """Reference: scipy.optimize; 36.8 % transmittance, e times the error (textbooks)."""
    best = scipy.optimize.minimize_scalar(
        lambda level: float(errors.noise_share(level, 0.01)), bounds=(0.05, 2), method="bounded"
    )

    assert best.x == pytest.approx(np.log10(np.e), abs=1e-4)
    assert best.fun == pytest.approx(0.01 * np.e, rel=1e-6)


STRAY = [
    # true transmittance, stray share, absorbance read, tolerance, source
    (0.05, 0.02, 1.163, 1e-3, "solved exercise: 0.025 of 0.50 with 0.010 stray (seen)"),
    (0.01, 0.000117, 1.995, 1e-4, "exercise turned round: what reads 1.995 (seen)"),
    (0.001, 0.001, 2.70, 2e-3, "0.1 % stray at A = 3 (from memory)"),
    (0.01, 0.001, 1.959, 1e-3, "0.1 % stray at A = 2 (computed)"),
]


@pytest.mark.parametrize(("transmitted", "stray", "expected", "tolerance", "source"), STRAY)
def test_stray_light_makes_dark_specimens_read_too_low(
    transmitted, stray, expected, tolerance, source
):
    read = errors.with_stray_light(photometry.absorbance(transmitted), stray)

    assert read == pytest.approx(expected, abs=tolerance), source


def test_no_specimen_reads_more_than_the_stray_light_allows():
    """log10((1 + s) / s): 0.001 % stray ends near 5 (manufacturer's curve, seen); 1 % at 2.004."""
    assert errors.with_stray_light(6, 0.00001) == pytest.approx(4.96, abs=0.01)
    assert errors.with_stray_light(6, 0.01) == pytest.approx(np.log10(1.01 / 0.01), abs=1e-3)


def gaussian_peak(width_nm: float, height: float) -> tuple[np.ndarray, np.ndarray]:
    """A peak at 540 nm of a width at half height, every 0.05 nm."""
    wavelengths = np.arange(400, 680.01, 0.05)
    return wavelengths, height * np.exp(-4 * np.log(2) * ((wavelengths - 540) / width_nm) ** 2)


BANDS = [
    # bandwidth over width of the peak, share of the true height, tolerance, source
    (0.1, 0.995, 1e-3, "a ratio of 0.1 reads 99.5 % (course of a spectrometer laboratory, seen)"),
    (0.2, 0.98, 3e-3, "a ratio of 0.2 reads about 98 % (computed)"),
    (0.5, 0.90, 0.01, "a ratio of 0.5 reads about 90 % (computed)"),
]


@pytest.mark.parametrize(("ratio", "expected", "tolerance", "source"), BANDS)
def test_a_band_a_tenth_as_wide_as_the_peak_reads_99_5_per_cent(ratio, expected, tolerance, source):
    wavelengths, spectrum = gaussian_peak(40, 0.5)

    read = errors.band_absorbance(wavelengths, spectrum, 540, 40 * ratio)

    assert read / 0.5 == pytest.approx(expected, abs=tolerance), source


def test_a_wide_band_bends_the_law_as_the_absorbance_rises():
    """Deviation from Beer's law in polychromatic light (textbooks): low at every height, more so
    the higher; a band of 20 nm on a peak of 40 nm loses 11 % at 0.5, 13 % at 1.5 (computed)."""
    heights = np.array([0.1, 0.5, 1.0, 1.5])

    shares = [
        errors.band_absorbance(*gaussian_peak(40, height), 540, 20) / height for height in heights
    ]

    assert shares == sorted(shares, reverse=True)
    assert shares[0] < 1
    assert shares[1] == pytest.approx(0.891, abs=2e-3)
    assert shares[3] == pytest.approx(0.874, abs=2e-3)


def test_the_absorbance_agrees_with_a_library_of_units():
    """Reference: pint; 0.1 mmol/L NADH in 1 cm read 0.622 (standard value 6220, seen)."""
    units = pint.UnitRegistry()
    path = (6220 * units.L / units.mol / units.cm) * (0.1 * units.mmol / units.L) * (1 * units.cm)

    read = photometry.beer_lambert(photometry.NADH_340_L_PER_MOL_CM, 1e-4, 1)

    assert read == pytest.approx(path.to("dimensionless").magnitude, rel=1e-12)
    assert read == pytest.approx(0.622)


@pytest.mark.parametrize(
    ("read", "passed"), [(0, 1), (0.301, 0.5), (1, 0.1), (2, 0.01), (0.4343, 0.3679)]
)
def test_absorbance_and_transmittance_are_the_tables(read, passed):
    """Logarithm tables: A = 2 - log10(%T)."""
    assert photometry.transmittance(read) == pytest.approx(passed, abs=1e-4)
    assert photometry.absorbance(passed) == pytest.approx(read, abs=2e-4)


HAEMOGLOBIN = [
    # absorbance, dilution, g/dL, source
    (1.0, 251, 36.77, "367.7 g/L for each A at 540 nm (ICSH 1996, from memory; factors seen)"),
    (0.4, 251, 14.71, "computed from the same"),
    (0.3264, 251, 12.0, "computed: the limit of anaemia in women, 12.0 g/dL"),
    (0.5, 201, 14.72, "20 µL in 4 mL, dilution 201 (seen); computed"),
]


@pytest.mark.parametrize(("read", "dilution", "expected_g_dl", "source"), HAEMOGLOBIN)
def test_haemoglobin_follows_from_the_absorbance_at_540_nm(read, dilution, expected_g_dl, source):
    found = photometry.haemoglobin_g_dl(read, dilution)

    assert found == pytest.approx(expected_g_dl, abs=5e-3), source


def test_haemoglobin_agrees_with_a_library_of_units():
    """Reference: pint, from 11.0 L/(mmol cm) and 16 114.5 g/mol (ICSH, seen)."""
    units = pint.UnitRegistry()
    molar = 0.4 / (11.0 * units.L / units.mmol / units.cm * units.cm)
    blood = (molar * 16_114.5 * units.g / units.mol * 251).to("g/dL").magnitude

    assert photometry.haemoglobin_g_dl(0.4) == pytest.approx(blood, rel=1e-12)


ENZYMES = [
    # absorptivity L/(mol cm), total µL, specimen µL, factor U/L for each A/min, source
    (6300, 1100, 100, 1746, "1746, printed in method sheets (from memory)"),
    (6220, 1100, 100, 1768, "1768, the same with 6.22 (from memory)"),
    (6220, 3000, 100, 4823, "4823, 3 mL and 0.1 mL (from memory)"),
]


@pytest.mark.parametrize(("absorptivity", "total_ul", "sample_ul", "factor", "source"), ENZYMES)
def test_enzyme_factors_are_those_of_method_sheets(
    absorptivity, total_ul, sample_ul, factor, source
):
    found = photometry.enzyme_u_l(1.0, absorptivity, total_ul, sample_ul)

    assert found == pytest.approx(factor, abs=0.6), source


def test_an_hour_of_the_drift_that_methods_allow_moves_haemoglobin_by_1_5_per_cent():
    """0.005 A/h for an hour (planning default) at 12.0 g/dL, A = 0.326: 1.5 % (computed)."""
    share = errors.drift_share(0.3264, 0.005, 1)

    assert share == pytest.approx(0.0153, abs=1e-4)
    assert photometry.haemoglobin_g_dl(0.3264 + 0.005) == pytest.approx(12.0 * 1.0153, abs=0.01)


def test_a_wavelength_that_is_off_costs_little_on_a_peak_and_much_on_a_slope():
    """±5 nm on a peak of 40 nm: 1 - exp(-4 ln 2 (5/40)²) = 4.2 % at the top (computed)."""
    wavelengths, spectrum = gaussian_peak(40, 1.0)

    on_peak = errors.wavelength_error_share(wavelengths, spectrum, 540, 5)
    on_slope = errors.wavelength_error_share(wavelengths, spectrum, 560, 5)

    assert on_peak == pytest.approx(1 - 2 ** (-4 * (5 / 40) ** 2), rel=1e-3)
    assert on_slope == pytest.approx(2 ** (-4 * ((15 / 40) ** 2 - 0.25)) - 1, rel=1e-3)
    assert on_slope > 5 * on_peak


def test_what_is_wrong_at_the_decision_level_is_added_up():
    """Each part against the definition, through the concentrations it would give (numpy)."""
    budget = errors.error_at_decision_level(
        0.3264, transmittance_error=0.005, stray_share=0.001, drift_per_h=0.005, hours_since_zero=1
    )

    passed = 10**-0.3264
    stray = np.log10((1 + 0.001) / (passed + 0.001)) / 0.3264 - 1
    noise = (np.log(passed) - np.log(passed - 1e-7)) / 1e-7 * 0.005 / -np.log(passed)
    assert budget.stray == pytest.approx(stray, rel=1e-9)
    assert budget.noise == pytest.approx(noise, rel=1e-5)
    assert budget.worst == pytest.approx(noise + abs(stray) + 0.005 / 0.3264, rel=1e-5)


@pytest.mark.parametrize(
    ("assumed", "expected", "source"),
    [
        (photometry.NADH_340_L_PER_MOL_CM, 6.22e3, "Horecker and Kornberg 1948 (value seen)"),
        (photometry.HICN_540_L_PER_MOL_CM, 11.0e3, "ICSH (seen)"),
        (photometry.HAEMOGLOBIN_MONOMER_G_PER_MOL, 64_458 / 4, "ICSH (seen)"),
        (photometry.BANDWIDTH_LIMIT_NM, 20, "common practice, no source"),
    ],
)
def test_what_is_assumed_is_what_standards_print(assumed, expected, source):
    assert assumed == expected, source


def test_the_nearest_filter_is_found_on_either_side():
    """A photometer with 405, 492, 550 and 620 nm for haemoglobin at 540: 10 nm too long."""
    offsets = photometry.nearest_offset_nm([540, 492, 600], [405, 492, 550, 620])

    assert offsets.tolist() == [10, 0, 20]
