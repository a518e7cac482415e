"""What heat and cold refuse, leave unknown, and decide at their boundaries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.errors import InputError
from planner.engine.physics import cold, thermal

ROOM = {"coolest_ambient_c": 20, "warmest_ambient_c": 30}
NAN = float("nan")


def warm_up(power=200.0, conductance=2.0, capacity=33_488.0, start=25.0, target=37.0, room=25.0):
    return thermal.warm_up_minutes(
        power, conductance, capacity, start_c=start, target_c=target, ambient_c=room
    )


@pytest.mark.parametrize(
    ("compute", "line"),
    [
        (
            lambda: thermal.steady_power_w(2, 298, 25),
            "temperature: expected a number of at least -100 and at most 250 °C, found 298"
            " (is this in kelvin? Subtract 273.15)",
        ),
        (
            lambda: thermal.conductance_w_k(25, 0.9, 8),
            "thickness: expected a number above 0 and at most 1 m, found 8"
            " (is this in cm? Divide by 100)",
        ),
        (
            lambda: thermal.conductance_w_k(0.025, 9000, 0.08),
            "area: expected a number above 0 and at most 100 m², found 9000"
            " (is this in cm²? Divide by 10 000)",
        ),
        (
            lambda: thermal.holds(37, coolest_ambient_c=30, warmest_ambient_c=20),
            "temperature: expected the lowest before the highest, found 30 and 20 °C",
        ),
        (
            lambda: thermal.stays_within([36, 38.5], [37, 36.5], 37, 1),
            "temperature: expected the lowest before the highest, found 38.5 and 36.5 °C",
        ),
        (
            lambda: cold.in_fridge_range(8, 2),
            "temperature: expected the lowest before the highest, found 8 and 2 °C",
        ),
        (
            lambda: cold.holdover_hours(8000, 0.3, 43),
            "ice: expected a number of at least 0 and at most 1000 kg, found 8000"
            " (is this in g? Divide by 1000)",
        ),
        (
            lambda: cold.ice_left_kg(4, 0.1, 43, -6),
            "time: expected a number of at least 0 and at most 1e+06 h, found -6",
        ),
        (
            lambda: cold.storage_l(-1, 0.05, 3),
            "units: expected a number of at least 0 and at most 1e+09, found -1",
        ),
        (
            lambda: cold.storage_l(1200, 0.05, 3, packing_share=67),
            "share: expected a number of at least 0 and at most 1, found 67"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: cold.mean_kinetic_temperature_c([]),
            "temperatures: expected at least one reading",
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
        lambda unknown: thermal.conductance_w_k(0.025, unknown, 0.08),
        lambda unknown: thermal.steady_power_w(2, 37, unknown),
        lambda unknown: thermal.hottest_c(unknown, 2, 25),
        lambda unknown: warm_up(power=unknown),
        lambda unknown: warm_up(start=unknown),
        lambda unknown: thermal.cooled_to_c(110, 30, unknown),
        lambda unknown: thermal.coolest_held_c(30, unknown),
        lambda unknown: thermal.holds(unknown, **ROOM),
        lambda unknown: thermal.holds(unknown, cooled=True, **ROOM),
        lambda unknown: thermal.holds(37, margin_k=unknown, **ROOM),
        lambda unknown: thermal.holds(37, highest_rise_k=unknown, **ROOM),
        lambda unknown: thermal.stays_within(36, unknown, 37, 1),
        lambda unknown: cold.holdover_hours(8, unknown, 43),
        lambda unknown: cold.ice_left_kg(unknown, 0.1, 43, 6),
        lambda unknown: cold.storage_l(1200, unknown, 3),
        lambda unknown: cold.in_fridge_range(unknown, 7),
        lambda unknown: cold.mean_kinetic_temperature_c([20, unknown]),
    ],
)
def test_what_is_not_known_stays_not_known(compute):
    assert np.isnan(compute(NAN))


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        (thermal.holds(37, coolest_ambient_c=20, warmest_ambient_c=40, margin_k=NAN), NAN),
        (thermal.holds(37, coolest_ambient_c=NAN, warmest_ambient_c=40), 0),
        (thermal.holds(37, highest_rise_k=16, margin_k=NAN, **ROOM), 0),
        (thermal.stays_within(35, NAN, 37, 1), 0),
        (cold.in_fridge_range(NAN, 9), 0),
        (cold.in_fridge_range(1, NAN), 0),
    ],
)
def test_what_is_known_to_fail_fails_whatever_else_is_unknown(found, expected):
    assert found == pytest.approx(expected, nan_ok=True)


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        ({"margin_k": 7}, 1),
        ({"margin_k": 7.1}, 0),
        ({"margin_k": 7.1, "cooled": True}, 1),
        ({"highest_rise_k": 17}, 1),
        ({"highest_rise_k": 16.9}, 0),
        ({"highest_rise_k": 16.9, "cooled": True}, 0),
    ],
)
def test_a_temperature_is_held_from_margin_to_greatest_rise(options, expected):
    assert thermal.holds(37, **ROOM, **options) == expected


def test_a_heater_that_is_too_weak_never_gets_there():
    assert thermal.hottest_c(24, 2, 25) == 37
    assert np.isnan(warm_up(power=24))
    assert warm_up(power=24.1) > 0


def test_what_is_warm_already_takes_no_time():
    assert warm_up(start=37) == 0
    assert warm_up(start=50) == 0


def test_a_bath_warmer_than_its_set_temperature_must_be_cooled():
    assert thermal.steady_power_w(2, 37, 40) == -6


def test_a_room_no_warmer_than_the_ice_gives_no_hold_over_time():
    assert np.isnan(cold.holdover_hours(8, 0.3, 0))
    assert np.isnan(cold.holdover_hours(8, 0.3, 4, inside_c=5))


def test_a_shelf_that_holds_nothing_gives_no_volume():
    assert np.isnan(cold.storage_l(1200, 0.05, 3, packing_share=0))


def test_ice_never_becomes_less_than_none():
    assert cold.ice_left_kg(1, 0.5, 43, 1000) == 0


def test_arrays_broadcast():
    held = thermal.holds(
        np.array([[37], [56]]), coolest_ambient_c=15, warmest_ambient_c=np.array([30, 32, 35])
    )

    assert held.tolist() == [[1, 1, 0], [1, 1, 1]]


@given(
    power=st.floats(50, 500),
    conductance=st.floats(0.1, 2),
    target=st.floats(30, 45),
    more=st.floats(1.01, 3),
)
def test_more_power_is_always_sooner_warm(power, conductance, target, more):
    slow = warm_up(power=power, conductance=conductance, target=target)

    assert warm_up(power=power * more, conductance=conductance, target=target) < slow


@given(ice=st.floats(0.1, 50), leak=st.floats(0.05, 5), room=st.floats(5, 50))
def test_half_the_hold_over_time_melts_half_the_ice(ice, leak, room):
    hours = cold.holdover_hours(ice, leak, room)

    assert cold.ice_left_kg(ice, leak, room, hours / 2) == pytest.approx(ice / 2)


@given(logged=st.lists(st.floats(-20, 60), min_size=1, max_size=20))
def test_the_kinetic_mean_lies_between_the_mean_and_the_warmest(logged):
    kinetic = cold.mean_kinetic_temperature_c(logged)

    assert np.mean(logged) - 1e-9 <= kinetic <= max(logged) + 1e-9
