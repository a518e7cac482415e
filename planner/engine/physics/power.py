"""Power: energy of a day, starting currents, batteries, panels, and hours of supply.

Planning sums for a small site, not the design of an installation.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import POWER_W, SHARE, Quantity, Values

MOTOR_SURGE = (3.0, 7.0)
"""Starting power of motors and compressors over their running power (planning range,
unverified)."""

USABLE_SHARE: dict[str, float] = {"lead": 0.5, "lithium-iron-phosphate": 0.8}
"""Share of a battery's energy that may be taken out (from memory; LiFePO₄ 0.8 to 0.9)."""

PANEL_DERATING = (0.65, 0.75)
"""What reaches the loads of a panel's rated energy: heat, dust, charging, wiring (planning range,
unverified)."""

INVERTER_HEADROOM = 1.25
POWER_FACTOR = 0.8
"""Both for the size of an inverter or an uninterruptible supply (common practice, no source)."""

HOURS_PER_DAY = Quantity("hours a day", "h", 0, 24, above_zero=False)
SURGE = Quantity("surge factor", "", 1, 20, above_zero=False)
ENERGY_WH = Quantity("energy", "Wh", 0, 1e8, "is this in J? Divide by 3600", above_zero=False)
DAYS = Quantity("days", "d", 0, 60, "is this in hours?", above_zero=False)
SUN_HOURS = Quantity("peak sun hours", "h", 0, 9, "is this the length of the day?")
ABOVE_SHARE = Quantity("share", "", 0, 1, SHARE.slip)
VOLTS = Quantity("voltage", "V", 0, 1000)
BATTERY_HOURS = Quantity("hours on battery", "h", 0, 10_000, above_zero=False)
HEADROOM = Quantity("headroom", "", 1, 10, above_zero=False)


def energy_wh_per_day(watts: ArrayLike, hours: ArrayLike, duty: ArrayLike = 1.0) -> Values:
    """Energy of one load in a day: W × h × share of the time that it draws power."""
    return POWER_W.values(watts) * HOURS_PER_DAY.values(hours) * SHARE.values(duty)


def peak_demand_w(watts: ArrayLike, surge: ArrayLike = 1.0) -> tuple[float, float]:
    """Running and greatest momentary power of loads that run together, in W.

    The greatest: all running, and the one with the largest start starting. Two motors that
    start in the same moment need more.
    """
    running = POWER_W.values(watts)
    extra = running * (SURGE.values(surge) - 1)
    return float(running.sum()), float(running.sum() + (extra.max() if extra.size else 0))


def inverter_va(
    running_w: ArrayLike,
    power_factor: ArrayLike = POWER_FACTOR,
    headroom: ArrayLike = INVERTER_HEADROOM,
) -> Values:
    """Rating of an inverter or uninterruptible supply in VA: P × headroom / power factor.

    Its momentary rating must also cover the greatest demand of ``peak_demand_w``.
    """
    factor = ABOVE_SHARE.values(power_factor)
    return POWER_W.values(running_w) * HEADROOM.values(headroom) / factor


def usable_wh(
    nominal_wh: ArrayLike, depth_of_discharge: ArrayLike, efficiency: ArrayLike = 1.0
) -> Values:
    """Energy that a battery gives to its loads: nominal × depth of discharge × efficiency."""
    share = ABOVE_SHARE.values(depth_of_discharge) * ABOVE_SHARE.values(efficiency)
    return ENERGY_WH.values(nominal_wh) * share


def battery_wh(
    wh_per_day: ArrayLike,
    autonomy_days: ArrayLike,
    depth_of_discharge: ArrayLike,
    efficiency: ArrayLike = 1.0,
) -> Values:
    """Nominal energy of a battery that carries a load through days without supply."""
    needed = ENERGY_WH.values(wh_per_day) * DAYS.values(autonomy_days)
    return needed / (ABOVE_SHARE.values(depth_of_discharge) * ABOVE_SHARE.values(efficiency))


def amp_hours(nominal_wh: ArrayLike, volts: ArrayLike) -> Values:
    """Charge of a battery in Ah at its voltage."""
    return ENERGY_WH.values(nominal_wh) / VOLTS.values(volts)


def autonomy_days(
    nominal_wh: ArrayLike,
    depth_of_discharge: ArrayLike,
    wh_per_day: ArrayLike,
    efficiency: ArrayLike = 1.0,
) -> Values:
    """Days that a battery carries a load; infinite where nothing is drawn."""
    return _over(usable_wh(nominal_wh, depth_of_discharge, efficiency), ENERGY_WH, wh_per_day)


def runtime_hours(
    nominal_wh: ArrayLike,
    depth_of_discharge: ArrayLike,
    watts: ArrayLike,
    efficiency: ArrayLike = 1.0,
) -> Values:
    """Hours that a battery carries a steady power; infinite where nothing is drawn."""
    return _over(usable_wh(nominal_wh, depth_of_discharge, efficiency), POWER_W, watts)


def panel_w(wh_per_day: ArrayLike, sun_hours: ArrayLike, derating: ArrayLike = 0.7) -> Values:
    """Rated power of panels that give a day's energy: E / (peak sun hours × derating).

    Take the sun hours of the worst month.
    """
    reaches = SUN_HOURS.values(sun_hours) * ABOVE_SHARE.values(derating)
    return ENERGY_WH.values(wh_per_day) / reaches


@dataclass(frozen=True)
class Supply:
    """Hours a day that a device needs power, against those when there is some (arrays)."""

    short_hours: Values
    served_share: Values


def hours_of_supply(
    needed_hours: ArrayLike, supplied_hours: ArrayLike, battery_hours: ArrayLike = 0.0
) -> Supply:
    """What is missing of the needed hours, with a battery of the device's own.

    Needed and supplied hours are taken to coincide as far as they can: a best case, unless
    work follows the supply.
    """
    needed = HOURS_PER_DAY.values(needed_hours)
    there = HOURS_PER_DAY.values(supplied_hours) + BATTERY_HOURS.values(battery_hours)
    short = np.maximum(needed - there, 0)
    return Supply(short, 1 - short / np.where(needed > 0, needed, np.nan))


def _over(energy: Values, quantity: Quantity, drawn: ArrayLike) -> Values:
    power = quantity.values(drawn)
    return np.where(power == 0, np.inf, energy / np.where(power == 0, np.nan, power))
