"""How far a photometer may be off: noise, stray light, drift, bandwidth, wavelength."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics.photometry import (
    ABSORBANCE,
    BANDWIDTH_NM,
    DRIFT,
    SHIFT_NM,
    absorbance,
    transmittance,
)
from planner.engine.physics.quantities import HOURS, SHARE, WAVELENGTH_NM, Values, judged

_POINTS_IN_BAND = 401


@dataclass(frozen=True)
class ErrorBudget:
    """Relative errors of a concentration at one absorbance (arrays of one shape).

    ``noise`` may go either way; ``stray`` is negative, reading too low; ``drift`` may go
    either way. ``worst`` adds their sizes: nothing makes them cancel.
    """

    noise: Values
    stray: Values
    drift: Values

    @property
    def worst(self) -> Values:
        """The largest relative error that the parts can add up to."""
        return np.abs(self.noise) + np.abs(self.stray) + np.abs(self.drift)


def noise_share(measured: ArrayLike, transmittance_error: ArrayLike) -> Values:
    """Relative error of a concentration from an error of the transmittance: dT / (T ln(1/T)).

    Least at T = 1/e, that is A = 0.434 (Twyman and Lothian 1933). NaN at A = 0, where there is
    no concentration to be wrong about. Valid where the error does not depend on the light, as
    in photometers limited by their reading.
    """
    passed = transmittance(measured)
    slope = -passed * np.log(passed)
    return SHARE.values(transmittance_error) / np.where(slope > 0, slope, np.nan)


def with_stray_light(true_absorbance: ArrayLike, stray_share: ArrayLike) -> Values:
    """Absorbance that is read when a share of stray light s reaches the detector.

    −log₁₀((T + s) / (1 + s)); however dark the specimen, no more than log₁₀((1 + s) / s).
    """
    stray = SHARE.values(stray_share)
    return absorbance((transmittance(true_absorbance) + stray) / (1 + stray))


def drift_share(measured: ArrayLike, drift_per_h: ArrayLike, hours: ArrayLike) -> Values:
    """Relative error from drift of the absorbance since the last setting of zero: D t / A."""
    moved = DRIFT.values(drift_per_h) * HOURS.values(hours)
    level = ABSORBANCE.values(measured)
    return moved / np.where(level > 0, level, np.nan)


def error_at_decision_level(
    measured: ArrayLike,
    *,
    transmittance_error: ArrayLike,
    stray_share: ArrayLike,
    drift_per_h: ArrayLike,
    hours_since_zero: ArrayLike,
) -> ErrorBudget:
    """What noise, stray light and drift do to a concentration at the level that decides."""
    level = ABSORBANCE.values(measured)
    read = with_stray_light(level, stray_share)
    return ErrorBudget(
        noise=noise_share(level, transmittance_error),
        stray=read / np.where(level > 0, level, np.nan) - 1,
        drift=drift_share(level, drift_per_h, hours_since_zero),
    )


def within_range(measured: ArrayLike, greatest: ArrayLike) -> Values:
    """1 where an absorbance lies in the linear range, 0 where it does not, NaN not known."""
    level, limit = ABSORBANCE.values(measured), ABSORBANCE.values(greatest)
    return judged(level > limit, np.isnan(level + limit))


def band_absorbance(
    wavelengths_nm: ArrayLike, spectrum: ArrayLike, centre_nm: float, bandwidth_nm: float
) -> float:
    """Absorbance that a band of finite width reads from a spectrum.

    The *transmittance* is averaged over a triangular band whose width at half height is
    ``bandwidth_nm``, as from a monochromator with equal slits; then A = −log₁₀ of it. Near a
    peak this reads too low, and falls short of Beer's law as the absorbance rises. Between its
    readings the spectrum is taken as linear.

    Raises ``InputError`` if the wavelengths do not rise or do not hold the whole band.
    """
    wavelengths, absorbances = _spectrum(wavelengths_nm, spectrum)
    centre, half = WAVELENGTH_NM.values(centre_nm), BANDWIDTH_NM.values(bandwidth_nm)
    _refuse_outside(wavelengths, centre - half, centre + half)
    # Points of its own within the band, so that a coarsely listed spectrum does not blunt it.
    points = np.linspace(centre - half, centre + half, _POINTS_IN_BAND)
    weights = np.clip(1 - np.abs(points - centre) / half, 0, None)
    passed = transmittance(np.interp(points, wavelengths, absorbances))
    return float(absorbance(np.trapezoid(passed * weights, points) / np.trapezoid(weights, points)))


def wavelength_error_share(
    wavelengths_nm: ArrayLike, spectrum: ArrayLike, wanted_nm: float, error_nm: float
) -> float:
    """Largest relative error of an absorbance from a wavelength that is off by up to an error.

    Small at a peak, large on a slope: the reason to measure at a peak. Taken at both ends of
    the error, by linear interpolation in the spectrum.
    """
    wavelengths, absorbances = _spectrum(wavelengths_nm, spectrum)
    wanted, error = WAVELENGTH_NM.values(wanted_nm), SHIFT_NM.values(error_nm)
    _refuse_outside(wavelengths, wanted - error, wanted + error)
    true, *shifted = np.interp([wanted, wanted - error, wanted + error], wavelengths, absorbances)
    return float(np.abs(np.array(shifted) / (true if true > 0 else np.nan) - 1).max())


def _spectrum(wavelengths_nm: ArrayLike, spectrum: ArrayLike) -> tuple[Values, Values]:
    wavelengths, absorbances = WAVELENGTH_NM.values(wavelengths_nm), ABSORBANCE.values(spectrum)
    if wavelengths.ndim != 1 or wavelengths.shape != absorbances.shape or wavelengths.size < 2:
        raise _unusable("two lists of the same length, with at least two readings")
    if not (np.diff(wavelengths) > 0).all():
        raise _unusable("wavelengths that rise from reading to reading")
    return wavelengths, absorbances


def _refuse_outside(wavelengths: Values, low: Values, high: Values) -> None:
    if low < wavelengths[0] or wavelengths[-1] < high:
        raise _unusable(f"a spectrum from {low:g} to {high:g} nm")


def _unusable(expected: str) -> InputError:
    return InputError("spectrum", [f"wavelengths and absorbances: expected {expected}"])
