"""Centrifugation: relative centrifugal force, its errors, and what it does to particles."""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics.quantities import (
    MINUTES,
    RADIUS_CM,
    RCF_G,
    SECONDS,
    SHARE,
    SPEED_RPM,
    Quantity,
    Values,
)

STANDARD_GRAVITY_M_S2 = 9.80665
"""Exact by definition (3rd General Conference on Weights and Measures, 1901)."""

RCF_PER_CM_RPM2 = (2 * np.pi / 60) ** 2 * 0.01 / STANDARD_GRAVITY_M_S2
"""1.118243958e-5 per cm and rpm squared; handbooks print 1.118e-5 (0.022 % less)."""

_SVEDBERG_S = 1e-13
_STANDSTILL_RPM = Quantity("speed", "rpm", 0, SPEED_RPM.highest, SPEED_RPM.slip, above_zero=False)
_RELATIVE_ERROR = Quantity("relative error", "", 0, 1, "is this in per cent?", above_zero=False)
_K_FACTOR = Quantity("k-factor", "h·S", 0, 1e9)
_SVEDBERGS = Quantity("sedimentation coefficient", "S", 0, 1e12)
_DIAMETER_UM = Quantity("diameter", "µm", 0, 1000, "is this in nm? Divide by 1000")
_DENSITY_KG_M3 = Quantity("density", "kg/m³", 0, 30_000, "is this in g/mL? Multiply by 1000")
_VISCOSITY_MPA_S = Quantity("viscosity", "mPa·s", 0, 100_000, "is this in Pa·s?")
_PATH_MM = Quantity("path", "mm", 0, 500)


def rcf_g(speed_rpm: ArrayLike, radius_cm: ArrayLike) -> Values:
    """Relative centrifugal force, in multiples of standard gravity: RCF = ω² r / g₀.

    The radius decides where the force acts: r_max at the tip of the tube (what makers and
    methods usually state), r_av in its middle, r_min at the surface. Never compare a force
    at one radius with a requirement at another.
    """
    return RCF_PER_CM_RPM2 * RADIUS_CM.values(radius_cm) * SPEED_RPM.values(speed_rpm) ** 2


def speed_rpm(rcf: ArrayLike, radius_cm: ArrayLike) -> Values:
    """Speed that gives ``rcf`` (g) at ``radius_cm``: n = √(RCF / (K r))."""
    return np.sqrt(RCF_G.values(rcf) / (RCF_PER_CM_RPM2 * RADIUS_CM.values(radius_cm)))


def implied_radius_cm(rcf: ArrayLike, speed: ArrayLike) -> Values:
    """Radius at which ``speed`` (rpm) would give ``rcf`` (g): r = RCF / (K n²)."""
    return RCF_G.values(rcf) / (RCF_PER_CM_RPM2 * SPEED_RPM.values(speed) ** 2)


def rcf_error_bounds(
    speed_error: ArrayLike, radius_error: ArrayLike = 0.0
) -> tuple[Values, Values]:
    """Smallest and largest relative error of the RCF for relative errors of speed and radius.

    Exact, not linearised: (1 ∓ dn)² (1 ∓ dr) − 1. Five per cent of the speed are −9.75 and
    +10.25 % of the force.
    """
    speed, radius = _RELATIVE_ERROR.values(speed_error), _RELATIVE_ERROR.values(radius_error)
    return (1 - speed) ** 2 * (1 - radius) - 1, (1 + speed) ** 2 * (1 + radius) - 1


def rcf_standard_error(
    rcf: ArrayLike, relative_speed_error: ArrayLike, relative_radius_error: ArrayLike
) -> Values:
    """Standard uncertainty of an RCF, in g: independent errors added in quadrature.

    First-order propagation (JCGM 100, 5.1.2): (u/RCF)² = (2 u_n/n)² + (u_r/r)².
    """
    speed = _RELATIVE_ERROR.values(relative_speed_error)
    radius = _RELATIVE_ERROR.values(relative_radius_error)
    return RCF_G.values(rcf) * np.hypot(2 * speed, radius)


def k_factor(speed: ArrayLike, r_min_cm: ArrayLike, r_max_cm: ArrayLike) -> Values:
    """Clearing factor k = 10¹³/3600 · ln(r_max/r_min) / ω², in hours times svedbergs.

    NaN where r_min is not below r_max.
    """
    inner, outer = RADIUS_CM.values(r_min_cm), RADIUS_CM.values(r_max_cm)
    omega = SPEED_RPM.values(speed) * 2 * np.pi / 60
    ratio = np.where(inner < outer, outer / inner, np.nan)
    return np.log(ratio) / (_SVEDBERG_S * 3600 * omega**2)


def pelleting_minutes(k: ArrayLike, sedimentation_s: ArrayLike) -> Values:
    """Time to pellet a dilute particle of ``sedimentation_s`` svedbergs: t(h) = k / s."""
    return 60 * _K_FACTOR.values(k) / _SVEDBERGS.values(sedimentation_s)


def settling_um_s(
    diameter_um: ArrayLike,
    particle_kg_m3: ArrayLike,
    fluid_kg_m3: ArrayLike,
    viscosity_mpa_s: ArrayLike,
    rcf: ArrayLike = 1.0,
) -> Values:
    """Stokes velocity of a small sphere: v = Δρ d² · RCF · g₀ / (18 η); negative: it floats.

    Valid for a dilute suspension at a particle Reynolds number well below 1.
    """
    excess = _DENSITY_KG_M3.values(particle_kg_m3) - _DENSITY_KG_M3.values(fluid_kg_m3)
    diameter_m = _DIAMETER_UM.values(diameter_um) * 1e-6
    viscosity_pa_s = _VISCOSITY_MPA_S.values(viscosity_mpa_s) * 1e-3
    force = RCF_G.values(rcf) * STANDARD_GRAVITY_M_S2
    return 1e6 * excess * diameter_m**2 * force / (18 * viscosity_pa_s)


def hindrance(volume_share: ArrayLike, exponent: float = 4.65) -> Values:
    """Factor by which crowding slows settling: (1 − φ)ⁿ (Richardson and Zaki 1954).

    At a haematocrit of 0.45 red cells settle 16 times slower than one alone. Rouleaux make
    real blood faster: treat as ±50 %.
    """
    return (1 - SHARE.values(volume_share)) ** exponent


def settling_minutes(
    path_mm: ArrayLike, velocity_um_s: ArrayLike, volume_share: ArrayLike = 0.0
) -> Values:
    """Time to clear ``path_mm`` at a Stokes velocity, slowed by crowding.

    NaN where the particle does not settle (velocity not above zero).
    """
    velocity = np.asarray(velocity_um_s, dtype=float) * hindrance(volume_share)
    path_um = 1000 * _PATH_MM.values(path_mm)
    return path_um / np.where(velocity > 0, velocity, np.nan) / 60


def g_minutes(times_s: ArrayLike, speeds_rpm: ArrayLike, radius_cm: float) -> float:
    """Time integral of the RCF of a logged speed curve, in g·min.

    ``times_s`` rises; speed is taken as linear between readings, so each interval gives
    exactly Δt (n₁² + n₁n₂ + n₂²)/3. It is the mean of the *squared* speed that counts: a
    hand-driven or oscillating spin does more than its mean speed suggests, and less than its
    greatest.

    Raises ``InputError`` if fewer than two readings are given or time does not rise.
    """
    times, speeds = SECONDS.values(times_s), _STANDSTILL_RPM.values(np.abs(np.asarray(speeds_rpm)))
    if times.shape != speeds.shape or times.ndim != 1 or times.size < 2:
        raise _unusable("expected two lists of the same length, with at least two readings")
    steps = np.diff(times)
    if (steps <= 0).any():
        raise _unusable("expected times that rise from reading to reading")
    first, second = speeds[:-1], speeds[1:]
    squared = steps * (first**2 + first * second + second**2) / 3
    return float(RCF_PER_CM_RPM2 * RADIUS_CM.values(radius_cm) * squared.sum() / 60)


def _unusable(expected: str) -> InputError:
    return InputError("speed log", [f"times and speeds: {expected}"])


def equivalent_minutes(
    rcf: ArrayLike,
    nominal_rcf: ArrayLike,
    nominal_minutes: ArrayLike,
    scaling: Literal["none", "within_band"] = "none",
) -> Values:
    """Minutes at ``rcf`` that do the work of the nominal force and time; NaN where none do.

    "Equal g-minutes" hold only for dilute settling along the same path. They do not hold
    for packed cell volume, platelet-poor plasma, or urine sediment, so the default is that
    no time makes up for another force. ``within_band`` allows it from 0.75 to 1.5 times the
    nominal force.
    """
    force, nominal = RCF_G.values(rcf), RCF_G.values(nominal_rcf)
    minutes = MINUTES.values(nominal_minutes)
    ratio = force / nominal
    low, high = (0.75, 1.5) if scaling == "within_band" else (1.0, 1.0)
    return np.where((ratio >= low) & (ratio <= high), minutes / ratio, np.nan)
