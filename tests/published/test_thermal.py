"""Heat and cold against solved exercises, pharmacopoeia and numerical integration."""

import numpy as np
import pint
import pytest
import scipy.constants
import scipy.integrate

from planner.engine.physics import cold, thermal

ICE_BOX = thermal.conductance_w_k(0.01, 6 * 0.3**2, 0.05)
"""A cube of 30 cm, walls of 5 cm, 0.01 W/(m K): 0.108 W/K (school textbook exercise, seen)."""


def test_the_ice_box_of_the_textbook_keeps_3_687_kg():
    """4 kg of ice, 45 °C, 6 h, 335 kJ/kg: 3.687 kg are left (solved exercise 11.19, seen)."""
    left = cold.ice_left_kg(4, ICE_BOX, 45, 6, 335e3)

    assert pytest.approx(0.108) == ICE_BOX
    assert left == pytest.approx(3.687, abs=5e-4)


def test_the_ice_is_gone_after_the_hold_over_time():
    """4 × 335 000 / (0.108 × 45) s = 76.6 h (computed from the same exercise)."""
    hours = cold.holdover_hours(4, ICE_BOX, 45, 0, 335e3)

    assert hours == pytest.approx(4 * 335e3 / (0.108 * 45) / 3600, rel=1e-12)
    assert cold.ice_left_kg(4, ICE_BOX, 45, hours, 335e3) == pytest.approx(0, abs=1e-9)


def test_hold_over_agrees_with_a_library_of_units():
    """Reference: pint; 8 kg of ice in a box of 0.3 W/K at 43 °C, 57.5 h."""
    units = pint.UnitRegistry()
    heat = 8 * units.kg * 333.55 * units.kJ / units.kg
    leak = 0.3 * units.W / units.delta_degC * 43 * units.delta_degC

    hours = cold.holdover_hours(8, 0.3, cold.COLD_LIFE_AMBIENT_C)

    assert hours == pytest.approx((heat / leak).to("hour").magnitude, rel=1e-12)
    assert hours == pytest.approx(57.4, abs=0.1)


CARRIERS = [
    # ice kg, area m², wall m, conductivity W/(m K), hours at 43 °C, source
    # polyurethane foam 0.022-0.025 W/(m K) (handbook, from memory)
    (8.0, 0.9, 0.08, 0.025, 61.3, "box of about 20 L: long-range boxes last 4 days (computed)"),
    (2.4, 0.35, 0.05, 0.025, 29.5, "carrier of about 2 L: carriers last 1-2 days (computed)"),
]


@pytest.mark.parametrize(("ice_kg", "area", "wall", "conductivity", "hours", "source"), CARRIERS)
def test_boxes_and_carriers_last_as_long_as_foam_and_ice_allow(
    ice_kg, area, wall, conductivity, hours, source
):
    conductance = thermal.conductance_w_k(conductivity, area, wall)

    found = cold.holdover_hours(ice_kg, conductance, 43)

    assert found == pytest.approx(hours, rel=5e-3), source


def test_a_body_cools_as_in_the_solved_exercise():
    """110 °C in a room of 30 °C is at 70 after a quarter, at 50 after half an hour (seen)."""
    time_constant_h = 0.25 / np.log(2)

    quarter = thermal.cooled_to_c(110, 30, 0.25 / time_constant_h)
    half = thermal.cooled_to_c(110, 30, 0.5 / time_constant_h)

    assert (float(quarter), float(half)) == pytest.approx((70, 50), abs=1e-9)


def test_after_one_time_constant_63_per_cent_of_the_way_are_done():
    """1 - 1/e = 0.632 (textbooks)."""
    assert thermal.cooled_to_c(0, 100, 1) == pytest.approx(63.2, abs=0.05)


WARM_UP = [
    # power W, U A W/K, heat capacity J/K, start, target, ambient °C
    (200, 2.0, 8 * 4186, 25, 37, 25),  # water bath of 8 L
    (60, 0.5, 900, 20, 37, 20),  # dry block, 1 kg of aluminium
    (120, 1.5, 5000, 15, 36, 18),  # incubator that starts below the room
]


@pytest.mark.parametrize(("power", "conductance", "capacity", "start", "target", "room"), WARM_UP)
def test_the_warm_up_time_is_that_of_the_differential_equation(
    power, conductance, capacity, start, target, room
):
    """Reference: scipy.integrate.solve_ivp of C dT/dt = P - U A (T - T_room)."""
    minutes = thermal.warm_up_minutes(
        power, conductance, capacity, start_c=start, target_c=target, ambient_c=room
    )

    course = scipy.integrate.solve_ivp(
        lambda _, t: (power - conductance * (t - room)) / capacity,
        (0, float(minutes) * 60),
        [start],
        rtol=1e-10,
        atol=1e-10,
    )
    assert course.y[0, -1] == pytest.approx(target, abs=1e-5)


def test_without_losses_a_kettle_takes_the_calorimetric_time():
    """8 L of water by 12 K at 200 W: m c dT / P = 33.5 min (calorimetry, computed)."""
    units = pint.UnitRegistry()
    heat = 8 * units.kg * 4186 * units.J / units.kg / units.delta_degC * 12 * units.delta_degC
    minutes = (heat / (200 * units.W)).to("minute").magnitude

    found = thermal.warm_up_minutes(200, 1e-6, 8 * 4186, start_c=25, target_c=37, ambient_c=25)

    assert found == pytest.approx(minutes, rel=1e-4)


def test_a_steady_temperature_takes_the_conducted_power():
    """k A dT / d: 0.03 W/(m K), 1.2 m², 5 cm, 12 K: 8.64 W (computed, pint)."""
    units = pint.UnitRegistry()
    wall = 0.03 * units.W / units.m / units.delta_degC * 1.2 * units.m**2 / (5 * units.cm)
    conducted = (wall * 12 * units.delta_degC).to("watt").magnitude

    power = thermal.steady_power_w(thermal.conductance_w_k(0.03, 1.2, 0.05), 37, 25)

    assert power == pytest.approx(conducted, rel=1e-12)
    assert power == pytest.approx(8.64)


ROOMS = [
    # set, coolest and warmest room, margin, held, source
    (37, 20, 30, 5, 1, "incubator 5 K above the room (common practice, no source)"),
    (37, 20, 32, 5, 1, "exactly at the margin"),
    (37, 20, 32.1, 5, 0, "a tenth too warm"),
    (37, 25, 40, 5, 0, "37 °C at 40 °C needs cooling (common practice, no source)"),
    (56, 15, 40, 5, 1, "water bath for inactivation (common practice, no source)"),
]


@pytest.mark.parametrize(("set_c", "coolest", "warmest", "margin", "held", "source"), ROOMS)
def test_a_heater_cannot_cool(set_c, coolest, warmest, margin, held, source):
    found = thermal.holds(
        set_c, coolest_ambient_c=coolest, warmest_ambient_c=warmest, margin_k=margin
    )

    assert found == held, source


STEADY = [
    # lowest, highest logged, wanted, tolerance, kept, source
    (36.0, 38.0, 37, 1.0, 1, "37 ± 1 °C for tube cross-matching (from memory)"),
    (35.9, 38.0, 37, 1.0, 0, "a tenth too cool"),
    (36.8, 37.2, 37, 0.2, 1, "37 ± 0.2 °C of measuring cells (from memory)"),
    (34.0, 36.0, 35, 1.0, 1, "35 ± 1 °C of incubators (from memory)"),
]


@pytest.mark.parametrize(("low", "high", "wanted", "tolerance", "kept", "source"), STEADY)
def test_a_logged_temperature_is_held_against_the_tolerance(
    low, high, wanted, tolerance, kept, source
):
    assert thermal.stays_within(low, high, wanted, tolerance) == kept, source


FRIDGES = [
    (2.0, 8.0, 1, "2 to 8 °C (WHO and makers, seen)"),
    (1.9, 8.0, 0, "freezing spoils"),
    (2.0, 8.1, 0, "too warm"),
]


@pytest.mark.parametrize(("low", "high", "kept", "source"), FRIDGES)
def test_reagents_are_kept_from_two_to_eight_degrees(low, high, kept, source):
    assert cold.in_fridge_range(low, high) == kept, source


LITRES = [
    # units a year, litres each, months between deliveries, reserve, packing, litres, source
    (1200, 0.05, 3, 1, 0.67, 29.85, "strips of 50 cm³ packed, quarterly (computed)"),
    (500, 0.2, 6, 0, 0.5, 100, "reagent kits of 0.2 L, half-yearly (computed)"),
]


@pytest.mark.parametrize(
    ("units", "litres_each", "months", "reserve", "packing", "litres", "source"), LITRES
)
def test_the_greatest_stock_needs_its_litres(
    units, litres_each, months, reserve, packing, litres, source
):
    found = cold.storage_l(units, litres_each, months, reserve, packing)

    assert found == pytest.approx(litres, abs=5e-3), source


def test_shelves_are_filled_to_two_thirds_unless_said():
    """Planning share 0.67 (common practice, no source)."""
    assert cold.storage_l(1200, 0.05, 3) == pytest.approx(15 / 0.67)


def test_the_mean_kinetic_temperature_is_that_of_the_arrhenius_equation():
    """Reference: the rate of decay at it is the mean of the logged rates (scipy.constants.R).

    83.144 kJ/mol as in USP 29 <1160> (seen).
    """
    logged = np.array([20, 22, 25, 30, 40, 24, 23, 21, 22, 25, 26, 28])

    found = cold.mean_kinetic_temperature_c(logged)

    def rates(celsius):
        kelvin = scipy.constants.convert_temperature(celsius, "Celsius", "Kelvin")
        return np.exp(-83_144 / (scipy.constants.R * kelvin))

    assert rates(found) == pytest.approx(rates(logged).mean(), rel=1e-4)
    assert found > logged.mean()


def test_a_steady_store_has_its_own_temperature_as_the_kinetic_mean():
    """By definition (Haynes 1971)."""
    assert cold.mean_kinetic_temperature_c([25.0] * 12) == pytest.approx(25, abs=1e-9)


def test_the_heat_of_fusion_is_the_handbooks():
    """79.7 cal/g (old handbooks, from memory) and 6.01 kJ/mol (handbook, from memory)."""
    old_j_kg, molar_j_kg = 79.7 * scipy.constants.calorie * 1000, 6010 / 18.0153e-3

    assert pytest.approx(old_j_kg, rel=1e-3) == cold.ICE_LATENT_HEAT_J_KG
    assert pytest.approx(molar_j_kg, rel=1e-3) == cold.ICE_LATENT_HEAT_J_KG
