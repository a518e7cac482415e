"""Centrifugation: relative centrifugal force, its errors, and the work of a spin."""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics.quantities import (
    MINUTES,
    RADIUS_CM,
    RCF_G,
    SECONDS,
    SPEED_RPM,
    Quantity,
    Values,
)

STANDARD_GRAVITY_M_S2 = 9.80665
"""Exact by definition (3rd General Conference on Weights and Measures, 1901)."""

RCF_PER_CM_RPM2 = (2 * np.pi / 60) ** 2 * 0.01 / STANDARD_GRAVITY_M_S2
"""1.118243958e-5 per cm and rpm squared; handbooks print 1.118e-5 (0.022 % less)."""

_STANDSTILL_RPM = Quantity("speed", "rpm", 0, SPEED_RPM.highest, SPEED_RPM.slip, above_zero=False)
_RELATIVE_ERROR = Quantity("relative error", "", 0, 1, "is this in per cent?", above_zero=False)


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
