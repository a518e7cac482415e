"""Cold: how long ice lasts, how many litres reagents need, and what warmth does to them."""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics.quantities import HOURS, SHARE, TEMPERATURE_C, Quantity, Values, judged
from planner.engine.physics.thermal import CONDUCTANCE_W_K

ICE_LATENT_HEAT_J_KG = 333_550.0
"""Heat of fusion of ice at 0 °C (handbook value, from memory; teaching texts print 334 kJ/kg)."""

COLD_LIFE_AMBIENT_C = 43.0
"""Room in which cold boxes and carriers are tested (WHO performance specifications, seen)."""

FRIDGE_RANGE_C = (2.0, 8.0)
"""Range in which most reagents, controls and vaccines are kept, both ends included (seen)."""

PACKING_SHARE = 0.67
"""Share of a refrigerator's net volume that boxes on shelves can fill, air left to pass (common
practice, no source; planning figures run from a half to three quarters)."""

ACTIVATION_J_MOL = 83_144.0
GAS_CONSTANT_J_MOL_K = 8.3144
"""Both as the pharmacopoeia prints them for the mean kinetic temperature (USP 29 <1160>, seen)."""

ZERO_CELSIUS_K = 273.15

ICE_KG = Quantity("ice", "kg", 0, 1000, "is this in g? Divide by 1000", above_zero=False)
LATENT_HEAT_J_KG = Quantity("heat of fusion", "J/kg", 0, 1e6, "in kJ/kg? Multiply by 1000")
UNITS = Quantity("units", "", 0, 1e9, above_zero=False)
LITRES_PER_UNIT = Quantity("volume of a unit", "L", 0, 1000, "in cm³? Divide by 1000")
ACTIVATION_ENERGY_J_MOL = Quantity("activation energy", "J/mol", 0, 1e6, "is this in kJ/mol?")
MONTHS = Quantity("time", "months", 0, 120, above_zero=False)


def holdover_hours(
    ice_kg: ArrayLike,
    conductance: ArrayLike,
    ambient_c: ArrayLike,
    inside_c: ArrayLike = 0.0,
    latent_heat_j_kg: ArrayLike = ICE_LATENT_HEAT_J_KG,
) -> Values:
    """Hours until the ice of a closed box is melted: m L / (U A (T_amb − T_in)).

    A lower bound of the cold life, in which the melt water still warms up; opening the box is
    not counted. NaN where the room is not warmer than the inside.
    """
    warmer = TEMPERATURE_C.values(ambient_c) - TEMPERATURE_C.values(inside_c)
    heat_j = ICE_KG.values(ice_kg) * LATENT_HEAT_J_KG.values(latent_heat_j_kg)
    leak_w = CONDUCTANCE_W_K.values(conductance) * np.where(warmer > 0, warmer, np.nan)
    return heat_j / leak_w / 3600


def ice_left_kg(
    ice_kg: ArrayLike,
    conductance: ArrayLike,
    ambient_c: ArrayLike,
    hours: ArrayLike,
    latent_heat_j_kg: ArrayLike = ICE_LATENT_HEAT_J_KG,
) -> Values:
    """Ice that is left in a closed box at 0 °C after so many hours, in kg; never below 0."""
    ice = ICE_KG.values(ice_kg)
    lasts = holdover_hours(1.0, conductance, ambient_c, 0.0, latent_heat_j_kg)
    return np.maximum(ice - HOURS.values(hours) / lasts, 0)


def storage_l(
    units_per_year: ArrayLike,
    litres_per_unit: ArrayLike,
    months_between_deliveries: ArrayLike,
    reserve_months: ArrayLike = 0.0,
    packing_share: ArrayLike = PACKING_SHARE,
) -> Values:
    """Net litres of refrigerator that the greatest stock of one item needs.

    Units a year × (supply interval + reserve) / 12 × litres of a packed unit, divided by the
    share of the volume that can be filled. Add the items up.
    """
    share = SHARE.values(packing_share)
    months = MONTHS.values(months_between_deliveries) + MONTHS.values(reserve_months)
    stock_l = UNITS.values(units_per_year) * months / 12 * LITRES_PER_UNIT.values(litres_per_unit)
    return stock_l / np.where(share > 0, share, np.nan)


def in_fridge_range(low_c: ArrayLike, high_c: ArrayLike) -> Values:
    """1 where logged extremes stay within 2 to 8 °C, 0 where not, NaN where not known.

    Below 2 °C counts as well: reagents and vaccines that freeze are spoiled.
    """
    low, high = TEMPERATURE_C.interval(low_c, high_c)
    fails = (low < FRIDGE_RANGE_C[0]) | (high > FRIDGE_RANGE_C[1])
    return judged(fails, np.isnan(low + high))


def mean_kinetic_temperature_c(
    logged_c: ArrayLike, activation_j_mol: float = ACTIVATION_J_MOL
) -> float:
    """The steady temperature that would have harmed as much as what was logged, in °C.

    T = (ΔH/R) / −ln(mean(exp(−ΔH / (R Tᵢ)))), for readings at equal intervals (Haynes 1971;
    USP 29 <1160>). Never below the plain mean. Not for what freezing spoils, nor for products
    whose activation energy is known to be another.

    Raises ``InputError`` if there is no reading.
    """
    kelvin = np.ravel(TEMPERATURE_C.values(logged_c)) + ZERO_CELSIUS_K
    if kelvin.size == 0:
        raise InputError("temperature log", ["temperatures: expected at least one reading"])
    ratio = float(ACTIVATION_ENERGY_J_MOL.values(activation_j_mol)) / GAS_CONSTANT_J_MOL_K
    return float(ratio / -np.log(np.mean(np.exp(-ratio / kelvin)))) - ZERO_CELSIUS_K
