"""What photometry refuses, leaves unknown, and decides at its boundaries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.errors import InputError
from planner.engine.physics import photometric_errors as errors
from planner.engine.physics import photometry

ABSORBANCES = st.floats(0.001, 3)
FLAT = ([500, 540, 580], [0.5, 0.5, 0.5])


def decision(absorbance: float, hours: float) -> errors.ErrorBudget:
    return errors.error_at_decision_level(
        absorbance,
        transmittance_error=0.005,
        stray_share=0.001,
        drift_per_h=0.005,
        hours_since_zero=hours,
    )


@pytest.mark.parametrize(
    ("compute", "line"),
    [
        (
            lambda: photometry.transmittance(36.8),
            "absorbance: expected a number of at least 0 and at most 6, found 36.8"
            " (is this the transmittance in per cent?)",
        ),
        (
            lambda: photometry.absorbance(36.8),
            "transmittance: expected a number above 0 and at most 1, found 36.8"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: photometry.absorbance(0),
            "transmittance: expected a number above 0 and at most 1, found 0"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: photometry.beer_lambert(6220, 0.1, 100),
            "path: expected a number above 0 and at most 20 cm, found 100"
            " (is this in mm? Divide by 10)",
        ),
        (
            lambda: photometry.haemoglobin_g_dl(0.4, 1 / 251),
            "dilution: expected a number of at least 1 and at most 1e+06, found 0.00398406"
            " (is this a share? Take its inverse)",
        ),
        (
            lambda: photometry.nearest_offset_nm(5.4e-7, [540]),
            "wavelength: expected a number above 150 and at most 2000 nm, found 5.4e-07"
            " (is this in µm? Multiply by 1000)",
        ),
        (
            lambda: errors.with_stray_light(1, 2),
            "share: expected a number of at least 0 and at most 1, found 2"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: errors.drift_share(0.4, 0.005, -1),
            "time: expected a number of at least 0 and at most 1e+06 h, found -1",
        ),
        (
            lambda: errors.band_absorbance([540, 500], [1, 1], 520, 10),
            "wavelengths and absorbances: expected wavelengths that rise from reading to reading",
        ),
        (
            lambda: errors.band_absorbance([540], [1], 540, 10),
            "wavelengths and absorbances: expected two lists of the same length, with at least"
            " two readings",
        ),
        (
            lambda: errors.band_absorbance(*FLAT, 570, 20),
            "wavelengths and absorbances: expected a spectrum from 550 to 590 nm",
        ),
        (
            lambda: errors.wavelength_error_share(*FLAT, 502, 5),
            "wavelengths and absorbances: expected a spectrum from 497 to 507 nm",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_the_usual_slip(compute, line):
    with pytest.raises(InputError) as refusal:
        compute()

    assert refusal.value.problems == (line,)


@pytest.mark.parametrize(
    "compute",
    [
        photometry.transmittance,
        photometry.absorbance,
        lambda unknown: photometry.beer_lambert(6220, unknown),
        lambda unknown: photometry.concentration_mol_l(unknown, 6220),
        lambda unknown: photometry.haemoglobin_g_dl(0.4, unknown),
        lambda unknown: photometry.enzyme_u_l(0.01, 6220, unknown, 100),
        lambda unknown: photometry.nearest_offset_nm(unknown, [540]),
        lambda unknown: photometry.nearest_offset_nm(540, [unknown]),
        lambda unknown: errors.noise_share(unknown, 0.005),
        lambda unknown: errors.noise_share(0.4, unknown),
        lambda unknown: errors.with_stray_light(1, unknown),
        lambda unknown: errors.drift_share(0.4, unknown, 1),
        lambda unknown: errors.within_range(unknown, 1.5),
        lambda unknown: errors.within_range(1.0, unknown),
        lambda unknown: errors.band_absorbance(*FLAT, unknown, 10),
        lambda unknown: errors.band_absorbance(*FLAT, 540, unknown),
        lambda unknown: errors.wavelength_error_share(*FLAT, 540, unknown),
        lambda unknown: errors.wavelength_error_share([500, 540], [1, unknown], 520, 5),
        lambda unknown: decision(unknown, 1).worst,
        lambda unknown: decision(0.4, unknown).worst,
    ],
)
def test_what_is_not_known_stays_not_known(compute):
    assert np.isnan(compute(np.nan))


def test_an_absorbance_of_nothing_has_no_relative_error():
    budget = decision(0.0, 1)

    assert np.isnan(budget.noise)
    assert np.isnan(budget.stray)
    assert np.isnan(budget.drift)


@pytest.mark.parametrize(("read", "expected"), [(1.5, 1), (1.501, 0), (0, 1)])
def test_the_linear_range_includes_its_end(read, expected):
    assert errors.within_range(read, 1.5) == expected


def test_full_transmittance_is_an_absorbance_of_plain_zero():
    assert str(float(photometry.absorbance(1))) == "0.0"


def test_a_specimen_as_large_as_the_whole_has_no_activity():
    assert np.isnan(photometry.enzyme_u_l(0.01, 6220, 100, 100))
    assert photometry.enzyme_u_l(0.01, 6220, 200, 100) > 0


def test_half_the_path_means_twice_the_concentration_and_activity():
    whole, half = (photometry.concentration_mol_l(0.4, 11_000, path) for path in (1, 0.5))

    assert photometry.concentration_mol_l(0.4, 11_000) == whole
    assert half == pytest.approx(2 * whole)
    assert photometry.haemoglobin_g_dl(0.4, 251, 0.5) == pytest.approx(29.41, abs=0.01)
    assert photometry.enzyme_u_l(0.1, 6300, 1100, 100, 0.5) == pytest.approx(349.2, abs=0.05)
    assert photometry.beer_lambert(6220, 1e-4, 0.5) == pytest.approx(0.311)
    assert photometry.beer_lambert(6220, 1e-4) == pytest.approx(0.622)


def test_offsets_keep_the_shape_of_what_is_wanted_and_skip_unknown_filters():
    wanted = np.array([[540, 500], [np.nan, 620]])

    offsets = photometry.nearest_offset_nm(wanted, [np.nan, 535, 620])

    np.testing.assert_array_equal(offsets, [[-5, 35], [np.nan, 0]])


def test_a_flat_spectrum_reads_the_same_through_any_band():
    for bandwidth in (1, 20, 40):
        read = errors.band_absorbance(*FLAT, 540, bandwidth)
        assert read == pytest.approx(0.5, abs=1e-12)


def test_a_coarse_spectrum_does_not_blunt_the_band():
    """Between readings the spectrum is linear: a finer list of it is the same spectrum."""
    coarse = ([500, 540, 580], [0.2, 0.6, 0.2])
    fine = (np.arange(500, 580.5, 0.5), np.interp(np.arange(500, 580.5, 0.5), *coarse))

    assert errors.band_absorbance(*coarse, 540, 30) == pytest.approx(
        errors.band_absorbance(*fine, 540, 30), rel=1e-12
    )


def test_an_absorbance_of_zero_has_no_relative_wavelength_error():
    assert np.isnan(errors.wavelength_error_share([500, 540, 580], [0, 0, 1], 520, 5))


@given(absorbance=ABSORBANCES)
def test_absorbance_and_transmittance_undo_each_other(absorbance):
    assert photometry.absorbance(photometry.transmittance(absorbance)) == pytest.approx(absorbance)


@given(
    concentration=st.floats(1e-6, 1e-3),
    absorptivity=st.floats(100, 3000),
    path=st.floats(0.1, 2),
)
def test_concentration_and_absorbance_undo_each_other(concentration, absorptivity, path):
    read = photometry.beer_lambert(absorptivity, concentration, path)

    found = photometry.concentration_mol_l(read, absorptivity, path)

    assert found == pytest.approx(concentration, rel=1e-9)


@given(absorbance=ABSORBANCES, stray=st.floats(1e-6, 0.1), more=st.floats(1.01, 2))
def test_stray_light_only_ever_lowers_a_reading(absorbance, stray, more):
    read = errors.with_stray_light(absorbance, stray)

    assert read < absorbance
    assert errors.with_stray_light(absorbance, stray * more) < read


@given(height=st.floats(0.05, 2), bandwidth=st.floats(1, 39))
def test_a_band_on_a_peak_never_reads_more_than_the_peak(height, bandwidth):
    wavelengths = np.arange(500, 581.0)
    peak = height * np.exp(-(((wavelengths - 540) / 20) ** 2))

    assert errors.band_absorbance(wavelengths, peak, 540, bandwidth) < height * (1 + 1e-12)
