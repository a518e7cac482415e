"""What it takes to keep a rotor turning, what a person can give, and when a rim bursts.

Windage figures are lower bounds for a bare rotor: bearings, gears and tubes come on top.
They serve to tell a plausible claim from an impossible one, not to design a rotor.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import MINUTES, POWER_W, SPEED_RPM, Quantity, Values

AIR_DENSITY_KG_M3 = 1.204
AIR_KINEMATIC_VISCOSITY_M2_S = 1.516e-5
"""Dry air at 20 °C and 1 atm (handbook values, from memory)."""

TRANSITION_REYNOLDS = 3e5
"""Flow over a free disc turns turbulent about here (Schlichting, Boundary-Layer Theory)."""

POLYMER_RIM_LIMIT_M_S = 100.0
"""Rim speed above which a paper or printed polymer rotor may burst (planning default)."""

HAND_COMFORT_W, HAND_LIMIT_W = 30.0, 100.0
"""Up to 30 W a hand drive is plausible; 100 W is what a healthy person keeps up on pedals
(university course page, seen). What lies between hangs on a logged run (a judgement)."""

_DISC_RADIUS_M = Quantity("radius", "m", 0, 1, "is this in cm? Divide by 100")
_TUBES = Quantity("tubes", "", 0, 1000)
_WIDTH_M = Quantity("tube diameter", "m", 0, 0.2, "is this in mm? Divide by 1000")
_INERTIA_KG_M2 = Quantity("moment of inertia", "kg·m²", 0, 100)

Plausibility = Literal["plausible", "questionable", "implausible"]


def angular_speed(speed: ArrayLike) -> Values:
    """Angular speed in rad/s of a speed in rpm."""
    return SPEED_RPM.values(speed) * 2 * np.pi / 60


def disc_reynolds(radius_m: ArrayLike, speed: ArrayLike) -> Values:
    """Reynolds number of a disc, ω R² / ν."""
    radius = _DISC_RADIUS_M.values(radius_m)
    return angular_speed(speed) * radius**2 / AIR_KINEMATIC_VISCOSITY_M2_S


def disc_moment_coefficient(reynolds: ArrayLike, turbulent: ArrayLike) -> Values:
    """Moment coefficient of both sides of a free disc, C_M = T / (½ ρ ω² R⁵).

    Laminar 3.87 Re^-1/2, turbulent 0.146 Re^-1/5 (von Kármán 1921; Schlichting).
    """
    number = np.asarray(reynolds, dtype=float)
    return np.where(turbulent, 0.146 * number**-0.2, 3.87 * number**-0.5)


def disc_power_w(
    radius_m: ArrayLike,
    speed: ArrayLike,
    flow: Literal["laminar", "turbulent", "by_reynolds"] = "by_reynolds",
) -> Values:
    """Power in W that air takes from a smooth thin disc: T ω, without bearings.

    ``by_reynolds`` takes laminar flow out to the radius where Re reaches the transition and
    turbulent flow beyond, so that the power rises without a jump as the disc speeds up.
    """
    radius, omega = _DISC_RADIUS_M.values(radius_m), angular_speed(speed)
    if flow != "by_reynolds":
        return _disc_power_w(radius, omega, flow == "turbulent")
    inner = np.minimum(radius, np.sqrt(TRANSITION_REYNOLDS * AIR_KINEMATIC_VISCOSITY_M2_S / omega))
    ring = _disc_power_w(radius, omega, True) - _disc_power_w(inner, omega, True)
    return _disc_power_w(inner, omega, False) + ring


def _disc_power_w(radius: Values, omega: Values, turbulent: bool) -> Values:
    coefficient = disc_moment_coefficient(
        omega * radius**2 / AIR_KINEMATIC_VISCOSITY_M2_S, turbulent
    )
    return coefficient * 0.5 * AIR_DENSITY_KG_M3 * omega**3 * radius**5


def largest_disc_m(power_w: ArrayLike, speed: ArrayLike) -> Values:
    """Radius in m of the largest disc that ``power_w`` could turn at ``speed``.

    The laminar power solved for R: (P / (½ · 3.87 ρ √ν ω^2.5))^¼. Turbulent flow takes more,
    so no larger disc is possible; bearings and tubes make the true limit smaller.
    """
    friction = 0.5 * 3.87 * AIR_DENSITY_KG_M3 * np.sqrt(AIR_KINEMATIC_VISCOSITY_M2_S)
    largest: Values = (POWER_W.values(power_w) / (friction * angular_speed(speed) ** 2.5)) ** 0.25
    return largest


def open_tubes_power_w(
    tubes: ArrayLike,
    tube_diameter_m: ArrayLike,
    inner_m: ArrayLike,
    outer_m: ArrayLike,
    speed: ArrayLike,
    drag_coefficient: float = 1.1,
) -> Values:
    """Power in W that air takes from unshrouded tubes swung out flat.

    P = N ½ ρ C_d d ω³ (R₂⁴ − R₁⁴) / 4. An upper estimate: air carried round is left out.
    """
    inner, outer = _DISC_RADIUS_M.values(inner_m), _DISC_RADIUS_M.values(outer_m)
    span = np.where(inner < outer, outer**4 - inner**4, np.nan) / 4
    width = _TUBES.values(tubes) * _WIDTH_M.values(tube_diameter_m)
    return 0.5 * AIR_DENSITY_KG_M3 * drag_coefficient * width * angular_speed(speed) ** 3 * span


def rim_speed_m_s(radius_m: ArrayLike, speed: ArrayLike) -> Values:
    """Speed of the rim, ω R; above ``POLYMER_RIM_LIMIT_M_S`` a polymer rotor may burst."""
    return angular_speed(speed) * _DISC_RADIUS_M.values(radius_m)


def spin_up_energy_j(inertia_kg_m2: ArrayLike, speed: ArrayLike) -> Values:
    """Energy stored in a rotor at speed, ½ I ω²: what a person must put in, and what flies off."""
    return 0.5 * _INERTIA_KG_M2.values(inertia_kg_m2) * angular_speed(speed) ** 2


def sustained_hand_power_w(minutes: ArrayLike) -> Values:
    """Power in W that arms can be relied on to give at a crank for so many minutes.

    Planning defaults, unverified: 75 W for up to 2 minutes, 30 W for up to 15, 20 W beyond.
    """
    duration = MINUTES.values(minutes)
    power = np.select([duration <= 2, duration <= 15], [75.0, 30.0], 20.0)
    return np.where(np.isnan(duration), np.nan, power)


def hand_drive(power_w: float) -> Plausibility:
    """Whether a person could drive a rotor that takes at least ``power_w``.

    Plausible up to ``HAND_COMFORT_W``, questionable up to ``HAND_LIMIT_W``, implausible above.
    """
    power = float(POWER_W.values(power_w))
    if power <= HAND_COMFORT_W:
        return "plausible"
    return "questionable" if power <= HAND_LIMIT_W else "implausible"
