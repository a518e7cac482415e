"""Heat: whether a block, bath or incubator holds its temperature, how long, at what power.

One body at one temperature, losing heat to the room in proportion to the difference (Newton's
law of cooling; Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, lumped capacitance).
Good for small well-mixed devices; not for the gradients inside a full incubator.
"""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import (
    POWER_W,
    TEMPERATURE_C,
    Quantity,
    Values,
    judged,
)

AIR_INCUBATOR_MARGIN_K = 5.0
"""What an incubator without cooling needs above the room: its own electronics warm it (common
practice, no source; data sheets say 3 to 8)."""

MARGIN_K = Quantity("margin above the room", "K", 0, 50, above_zero=False)
TOLERANCE_K = Quantity("tolerance", "K", 0, 50, above_zero=False)
CONDUCTANCE_W_K = Quantity("conductance", "W/K", 0, 1000)
CONDUCTIVITY = Quantity("conductivity", "W/(m·K)", 0, 500, "is this in mW/(m·K)? Divide by 1000")
AREA_M2 = Quantity("area", "m²", 0, 100, "is this in cm²? Divide by 10 000")
THICKNESS_M = Quantity("thickness", "m", 0, 1, "is this in cm? Divide by 100")
HEAT_CAPACITY_J_K = Quantity("heat capacity", "J/K", 0, 1e7, "is this in kJ/K? Multiply by 1000")
_TIME_CONSTANTS = Quantity("time over time constant", "", 0, 1e6, above_zero=False)
RISE_K = Quantity("rise above the room", "K", 0, 300, above_zero=False)


def conductance_w_k(
    conductivity_w_mk: ArrayLike, area_m2: ArrayLike, thickness_m: ArrayLike
) -> Values:
    """Heat that walls let through for each kelvin, U A = k A / d, in W/K.

    Flat walls; surface films are left out, so that the true loss is smaller.
    """
    conducted = CONDUCTIVITY.values(conductivity_w_mk) * AREA_M2.values(area_m2)
    return conducted / THICKNESS_M.values(thickness_m)


def steady_power_w(conductance: ArrayLike, inside_c: ArrayLike, ambient_c: ArrayLike) -> Values:
    """Power in W that holds a temperature: U A (T_in − T_amb); negative: it must be cooled."""
    difference = TEMPERATURE_C.values(inside_c) - TEMPERATURE_C.values(ambient_c)
    return CONDUCTANCE_W_K.values(conductance) * difference


def hottest_c(power_w: ArrayLike, conductance: ArrayLike, ambient_c: ArrayLike) -> Values:
    """Temperature that a heater reaches in the end: T_amb + P / (U A)."""
    rise = POWER_W.values(power_w) / CONDUCTANCE_W_K.values(conductance)
    return TEMPERATURE_C.values(ambient_c) + rise


def warm_up_minutes(
    power_w: ArrayLike,
    conductance: ArrayLike,
    heat_capacity_j_k: ArrayLike,
    *,
    start_c: ArrayLike,
    target_c: ArrayLike,
    ambient_c: ArrayLike,
) -> Values:
    """Minutes at full power from ``start_c`` to ``target_c``: τ ln((T_∞ − T₀) / (T_∞ − T)).

    τ = C / (U A), T_∞ = T_amb + P / (U A). 0 where it is warm enough already, NaN where the
    heater never reaches the target.
    """
    start, target = TEMPERATURE_C.values(start_c), TEMPERATURE_C.values(target_c)
    final = hottest_c(power_w, conductance, ambient_c)
    constant_s = HEAT_CAPACITY_J_K.values(heat_capacity_j_k) / CONDUCTANCE_W_K.values(conductance)
    reached = np.where((final > target) & (target > start), final - target, np.nan)
    heating = constant_s * np.log((final - start) / reached) / 60
    return np.where(start >= target, 0.0, heating)


def cooled_to_c(start_c: ArrayLike, ambient_c: ArrayLike, time_constants: ArrayLike) -> Values:
    """Temperature after so many time constants without heat: T_amb + (T₀ − T_amb) e^−t/τ."""
    ambient = TEMPERATURE_C.values(ambient_c)
    elapsed = _TIME_CONSTANTS.values(time_constants)
    return ambient + (TEMPERATURE_C.values(start_c) - ambient) * np.exp(-elapsed)


def coolest_held_c(warmest_ambient_c: ArrayLike, margin_k: ArrayLike) -> Values:
    """Lowest temperature that a device without cooling holds in the warmest room."""
    return TEMPERATURE_C.values(warmest_ambient_c) + MARGIN_K.values(margin_k)


def holds(
    set_c: ArrayLike,
    *,
    coolest_ambient_c: ArrayLike,
    warmest_ambient_c: ArrayLike,
    margin_k: ArrayLike = AIR_INCUBATOR_MARGIN_K,
    highest_rise_k: ArrayLike | None = None,
    cooled: bool = False,
) -> Values:
    """1 where a set temperature is held in every room between two ambients, 0 where not.

    Without cooling it must lie ``margin_k`` above the warmest room: 37 °C is not held at 40 °C.
    It must lie no more than ``highest_rise_k`` (heater power over U A) above the coolest room,
    if that is given. NaN where something needed is not known and nothing known decides.
    """
    wanted = TEMPERATURE_C.values(set_c)
    coolest, warmest = TEMPERATURE_C.interval(coolest_ambient_c, warmest_ambient_c)
    above = 0 * wanted if cooled else wanted - coolest_held_c(warmest, margin_k)
    below = 0 * wanted
    if highest_rise_k is not None:
        below = coolest + RISE_K.values(highest_rise_k) - wanted
    return judged((above < 0) | (below < 0), np.isnan(above + below))


def stays_within(
    measured_low_c: ArrayLike,
    measured_high_c: ArrayLike,
    wanted_c: ArrayLike,
    tolerance_k: ArrayLike,
) -> Values:
    """1 where what was logged stays within a tolerance around the wanted temperature.

    0 where it does not, NaN where it is not known. Both ends are included.
    """
    low, high = TEMPERATURE_C.interval(measured_low_c, measured_high_c)
    wanted, tolerance = TEMPERATURE_C.values(wanted_c), TOLERANCE_K.values(tolerance_k)
    fails = (low < wanted - tolerance) | (high > wanted + tolerance)
    return judged(fails, np.isnan(low + high + wanted + tolerance))
