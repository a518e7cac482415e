"""What optics refuses, leaves unknown, and decides at its boundaries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.errors import InputError
from planner.engine.physics import optics
from planner.engine.physics.features import FEATURES, Feature, sight

NUMBERS = st.floats(0.05, 1.5)
WAVELENGTHS = st.floats(350, 900)


@pytest.mark.parametrize(
    ("compute", "line"),
    [
        (
            lambda: optics.rayleigh_um(100),
            "numerical aperture: expected a number above 0 and at most 1.6, found 100"
            " (is this the magnification?)",
        ),
        (
            lambda: optics.abbe_um(1.25, 0.55),
            "wavelength: expected a number above 150 and at most 2000 nm, found 0.55"
            " (is this in µm? Multiply by 1000)",
        ),
        (
            lambda: optics.field_mm(20_000, 40),
            "field number: expected a number above 0 and at most 60 mm, found 20000"
            " (is this in µm? Divide by 1000)",
        ),
        (
            lambda: optics.total_magnification(-40, 10),
            "magnification: expected a number above 0 and at most 5000, found -40"
            " (is this a focal length in mm?)",
        ),
        (
            lambda: optics.sampling_um(1400, 4),
            "pixel: expected a number above 0 and at most 100 µm, found 1400"
            " (is this in nm? Divide by 1000)",
        ),
        (
            lambda: optics.slide_minutes(100, -3),
            "time: expected a number of at least 0 and at most 1e+07 s, found -3",
        ),
        (
            lambda: optics.depth_of_field_um(0.65, 40, 10, refractive_index=0.5),
            "refractive index: expected a number above 0.99 and at most 2.5, found 0.5",
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
        lambda unknown: optics.total_magnification(unknown, 10),
        lambda unknown: optics.abbe_um(unknown),
        lambda unknown: optics.rayleigh_um(1.25, unknown),
        lambda unknown: optics.sampling_um(1.4, unknown),
        lambda unknown: optics.resolution_um(1.25, 550, unknown, 10),
        lambda unknown: optics.resolution_um(1.25, 550, 1.4),
        lambda unknown: optics.resolution_um(unknown, 550, 1.4, 10),
        lambda unknown: optics.resolved_elements(unknown, 0.3),
        lambda unknown: optics.useful_magnification(unknown)[1],
        lambda unknown: optics.visible_um(unknown),
        lambda unknown: optics.depth_of_field_um(0.65, unknown, 10),
        lambda unknown: optics.field_mm(20, unknown),
        lambda unknown: optics.fields_in_area(200, unknown),
        lambda unknown: optics.slide_minutes(unknown, 3),
    ],
)
def test_what_is_not_known_stays_not_known(compute):
    assert np.isnan(compute(np.nan))


def test_arrays_broadcast():
    resolved = optics.rayleigh_um(np.array([[0.65], [1.25]]), np.array([450, 550, 650]))

    assert resolved.shape == (2, 3)
    assert resolved[1, 1] == optics.rayleigh_um(1.25, 550)


COCCUS = Feature("coccus", "Coccus", (0.5, 1.5), (1.0, 1.5), "made up for this test")


@pytest.mark.parametrize(
    ("resolved_um", "expected"),
    [(0.5, "resolved"), (0.501, "noticed"), (1.0, "noticed"), (1.001, "not_resolved"),
     (float("nan"), "unknown")],
)  # fmt: skip
def test_a_feature_is_resolved_by_its_width_and_noticed_by_its_length(resolved_um, expected):
    assert sight(COCCUS, resolved_um) == expected


def test_every_feature_is_longer_than_wide_and_has_a_source():
    assert len(FEATURES) == 13
    for feature in FEATURES.values():
        assert feature.width_um[0] <= feature.width_um[1] <= feature.length_um[1]
        assert feature.width_um[0] <= feature.length_um[0] <= feature.length_um[1]
        assert feature.source.endswith(("seen", "from memory"))


def test_light_is_green_unless_another_is_named():
    assert optics.rayleigh_um(1.25) == optics.rayleigh_um(1.25, 550)
    assert optics.abbe_um(1.25) == pytest.approx(0.22)
    assert optics.resolution_um(1.25) == optics.rayleigh_um(1.25, 550)
    assert optics.depth_of_field_um(0.5, 20, 10) == pytest.approx(0.55 / 0.25 + 10 / 10)


def test_an_eye_makes_out_a_quarter_of_a_micrometre_at_a_thousandfold():
    assert optics.visible_um(1000) == pytest.approx(0.25)


def test_elements_across_a_feature_are_counted_in_resolved_distances():
    assert optics.resolved_elements([1.0, 0.2], 0.25).tolist() == [4.0, 0.8]


@given(aperture=NUMBERS, wavelength=WAVELENGTHS, more=st.floats(1.001, 1.05))
def test_more_aperture_and_shorter_waves_always_resolve_more(aperture, wavelength, more):
    resolved = optics.rayleigh_um(aperture, wavelength)

    assert optics.rayleigh_um(aperture * more, wavelength) < resolved
    assert optics.rayleigh_um(aperture, wavelength * more) > resolved
    assert resolved > optics.abbe_um(aperture, wavelength)


@given(aperture=NUMBERS, pixel=st.floats(0.5, 20), magnification=st.floats(1, 100))
def test_a_camera_never_sharpens_what_the_objective_blurs(aperture, pixel, magnification):
    together = optics.resolution_um(aperture, 550, pixel, magnification)

    assert together == max(
        optics.rayleigh_um(aperture, 550), optics.sampling_um(pixel, magnification)
    )


@given(area=st.floats(1, 1000), diameter=st.floats(0.05, 5))
def test_the_fields_cover_the_area(area, diameter):
    fields = optics.fields_in_area(area, diameter)

    assert fields * np.pi * (diameter / 2) ** 2 == pytest.approx(area)
