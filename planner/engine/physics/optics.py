"""Microscopy: what is resolved, what a field holds, and how long a slide takes."""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import SECONDS, WAVELENGTH_NM, Quantity, Values

GREEN_NM = 550.0
"""Green light, where the eye and most objectives are best (common practice, no source)."""

MAGNIFICATION = Quantity("magnification", "", 0, 5000, "is this a focal length in mm?")
NUMERICAL_APERTURE = Quantity("numerical aperture", "", 0, 1.6, "is this the magnification?")
FIELD_NUMBER_MM = Quantity("field number", "mm", 0, 60, "is this in µm? Divide by 1000")
FIELD_MM = Quantity("diameter of the field", "mm", 0, 60, "is this in µm? Divide by 1000")
PIXEL_UM = Quantity("pixel", "µm", 0, 100, "is this in nm? Divide by 1000")
LENGTH_UM = Quantity("length", "µm", 0, 10_000, "is this in nm? Divide by 1000")
AREA_MM2 = Quantity("area", "mm²", 0, 10_000, "is this in µm²?")
FIELDS = Quantity("fields", "", 0, 1_000_000, above_zero=False)
REFRACTIVE_INDEX = Quantity("refractive index", "", 0.99, 2.5)

_EYE_LIMIT_UM = 250.0
"""Finest detail that an eye separates at 25 cm, about 0.2-0.3 mm (textbook, from memory)."""


def total_magnification(objective: ArrayLike, eyepiece: ArrayLike) -> Values:
    """Magnification seen by the eye: objective times eyepiece, for a tube factor of 1."""
    return MAGNIFICATION.values(objective) * MAGNIFICATION.values(eyepiece)


def abbe_um(numerical_aperture: ArrayLike, wavelength_nm: ArrayLike = GREEN_NM) -> Values:
    """Finest period of a grating that is resolved, in µm: d = λ / (2 NA).

    Abbe 1873, for a condenser whose aperture is not below the objective's.
    """
    aperture = NUMERICAL_APERTURE.values(numerical_aperture)
    return WAVELENGTH_NM.values(wavelength_nm) / 1000 / (2 * aperture)


def rayleigh_um(numerical_aperture: ArrayLike, wavelength_nm: ArrayLike = GREEN_NM) -> Values:
    """Least distance of two points that are told apart, in µm: d = 0.61 λ / NA.

    The first dark ring of one falls on the middle of the other (Rayleigh 1879; Born and Wolf,
    Principles of Optics, 8.6.3). The exact factor is j₁,₁ / (2π) = 0.60983.
    """
    aperture = NUMERICAL_APERTURE.values(numerical_aperture)
    return 0.61 * WAVELENGTH_NM.values(wavelength_nm) / 1000 / aperture


def sampling_um(pixel_um: ArrayLike, magnification: ArrayLike) -> Values:
    """Finest distance in the specimen that a camera can show, in µm: 2 p / M.

    Two pixels to a distance (Nyquist, Shannon). A colour filter array needs more: this is a
    lower bound. ``magnification`` is that from specimen to sensor.
    """
    return 2 * PIXEL_UM.values(pixel_um) / MAGNIFICATION.values(magnification)


def resolution_um(
    numerical_aperture: ArrayLike,
    wavelength_nm: ArrayLike = GREEN_NM,
    pixel_um: ArrayLike | None = None,
    magnification: ArrayLike = np.nan,
) -> Values:
    """What optics and, if there is one, camera resolve together: the coarser of the two, in µm.

    A camera whose ``magnification`` from specimen to sensor is not known gives NaN.
    """
    optical = rayleigh_um(numerical_aperture, wavelength_nm)
    if pixel_um is None:
        return optical
    return np.maximum(optical, sampling_um(pixel_um, magnification))


def resolved_elements(feature_um: ArrayLike, resolved_um: ArrayLike) -> Values:
    """How many resolved distances fit across a feature; below 1 its size is not resolved.

    A well stained object narrower than the resolution may still be *seen*, as a line or dot
    whose width says nothing.
    """
    return LENGTH_UM.values(feature_um) / LENGTH_UM.values(resolved_um)


def useful_magnification(numerical_aperture: ArrayLike) -> tuple[Values, Values]:
    """Least and greatest magnification that serve an eye: 500 NA to 1000 NA (textbooks).

    Below, detail that is resolved is too fine for the eye; above, magnification is empty.
    """
    aperture = NUMERICAL_APERTURE.values(numerical_aperture)
    return 500 * aperture, 1000 * aperture


def visible_um(magnification: ArrayLike) -> Values:
    """Finest detail that an eye can make out at a total magnification, in µm: 250 µm / M."""
    return _EYE_LIMIT_UM / MAGNIFICATION.values(magnification)


def depth_of_field_um(
    numerical_aperture: ArrayLike,
    magnification: ArrayLike,
    detector_um: ArrayLike,
    wavelength_nm: ArrayLike = GREEN_NM,
    refractive_index: ArrayLike = 1.0,
) -> Values:
    """Depth in focus at once, in µm: λ n / NA² + n e / (M NA).

    ``detector_um`` is e, the finest distance that the detector resolves in the image;
    ``refractive_index`` n that of what lies before the objective (air 1, oil 1.515). Inoué and
    Spring, Video Microscopy.
    """
    aperture = NUMERICAL_APERTURE.values(numerical_aperture)
    index = REFRACTIVE_INDEX.values(refractive_index)
    wave = WAVELENGTH_NM.values(wavelength_nm) / 1000 * index / aperture**2
    detector = LENGTH_UM.values(detector_um)
    return wave + index * detector / (MAGNIFICATION.values(magnification) * aperture)


def field_mm(field_number_mm: ArrayLike, objective: ArrayLike) -> Values:
    """Diameter of what is seen at once, in mm: field number of the eyepiece / objective."""
    return FIELD_NUMBER_MM.values(field_number_mm) / MAGNIFICATION.values(objective)


def fields_in_area(area_mm2: ArrayLike, field_diameter_mm: ArrayLike) -> Values:
    """Fields that an area holds, A / (π d² / 4); not rounded, without overlap."""
    return AREA_MM2.values(area_mm2) / (np.pi / 4 * FIELD_MM.values(field_diameter_mm) ** 2)


def slide_minutes(
    fields: ArrayLike, seconds_per_field: ArrayLike, handling_s: ArrayLike = 0.0
) -> Values:
    """Minutes for one slide: fields times seconds, and the handling of the slide."""
    reading = FIELDS.values(fields) * SECONDS.values(seconds_per_field)
    return (reading + SECONDS.values(handling_s)) / 60
