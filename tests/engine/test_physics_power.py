"""What power refuses, leaves unknown, and decides at its boundaries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.errors import InputError
from planner.engine.physics import power

ENERGIES = st.floats(1, 50_000)
SHARES = st.floats(0.1, 1)


@pytest.mark.parametrize(
    ("compute", "line"),
    [
        (
            lambda: power.energy_wh_per_day(100, 25),
            "hours a day: expected a number of at least 0 and at most 24 h, found 25",
        ),
        (
            lambda: power.energy_wh_per_day(100, 8, 35),
            "share: expected a number of at least 0 and at most 1, found 35"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: power.energy_wh_per_day(-100, 8),
            "power: expected a number of at least 0 and at most 100000 W, found -100",
        ),
        (
            lambda: power.peak_demand_w([100], [0.5]),
            "surge factor: expected a number of at least 1 and at most 20, found 0.5",
        ),
        (
            lambda: power.usable_wh(1200, 50),
            "share: expected a number above 0 and at most 1, found 50"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: power.battery_wh(1200, 2, 0),
            "share: expected a number above 0 and at most 1, found 0"
            " (is this in per cent? Divide by 100)",
        ),
        (
            lambda: power.battery_wh(1200, 72, 0.5),
            "days: expected a number of at least 0 and at most 60 d, found 72 (is this in hours?)",
        ),
        (
            lambda: power.panel_w(1200, 12),
            "peak sun hours: expected a number above 0 and at most 9 h, found 12"
            " (is this the length of the day?)",
        ),
        (
            lambda: power.amp_hours(4800, 0),
            "voltage: expected a number above 0 and at most 1000 V, found 0",
        ),
        (
            lambda: power.inverter_va(400, 0.8, 0.9),
            "headroom: expected a number of at least 1 and at most 10, found 0.9",
        ),
        (
            lambda: power.hours_of_supply(8, -1),
            "hours a day: expected a number of at least 0 and at most 24 h, found -1",
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
        lambda unknown: power.energy_wh_per_day(100, unknown),
        lambda unknown: power.peak_demand_w([100, unknown])[0],
        lambda unknown: power.peak_demand_w([100, 50], [1, unknown])[1],
        lambda unknown: power.inverter_va(unknown),
        lambda unknown: power.usable_wh(1200, unknown),
        lambda unknown: power.battery_wh(unknown, 2, 0.5),
        lambda unknown: power.amp_hours(4800, unknown),
        lambda unknown: power.autonomy_days(1200, 0.5, unknown),
        lambda unknown: power.runtime_hours(unknown, 0.5, 60),
        lambda unknown: power.panel_w(1200, unknown),
        lambda unknown: power.hours_of_supply(8, unknown).short_hours,
        lambda unknown: power.hours_of_supply(unknown, 8).served_share,
    ],
)
def test_what_is_not_known_stays_not_known(compute):
    assert np.isnan(compute(np.nan))


def test_no_loads_demand_nothing():
    assert power.peak_demand_w([]) == (0, 0)


def test_a_device_that_needs_no_hours_has_no_share_served():
    supply = power.hours_of_supply(0, 8)

    assert supply.short_hours == 0
    assert np.isnan(supply.served_share)


def test_loads_without_a_surge_demand_what_they_run_at():
    assert power.peak_demand_w([100, 50]) == (150, 150)


def test_sites_are_computed_together():
    short = power.hours_of_supply(8, np.array([24, 8, 6, 0])).short_hours

    assert short.tolist() == [0, 0, 2, 8]


@given(wh=ENERGIES, days=st.floats(0.5, 10), depth=SHARES, efficiency=SHARES)
def test_a_battery_sized_for_some_days_lasts_them(wh, days, depth, efficiency):
    nominal = power.battery_wh(wh, days, depth, efficiency)

    assert power.autonomy_days(nominal, depth, wh, efficiency) == pytest.approx(days)


@given(wh=ENERGIES, sun=st.floats(1, 8), derating=SHARES)
def test_panels_give_back_the_energy_they_were_sized_for(wh, sun, derating):
    assert power.panel_w(wh, sun, derating) * sun * derating == pytest.approx(wh)


@given(
    watts=st.lists(st.floats(0, 2000), min_size=1, max_size=8),
    surge=st.floats(1, 7),
)
def test_the_greatest_demand_lies_between_running_and_starting_all(watts, surge):
    running, greatest = power.peak_demand_w(watts, surge)

    assert running * (1 - 1e-12) <= greatest <= surge * running * (1 + 1e-12)


@given(needed=st.floats(0.1, 24), supplied=st.floats(0, 24))
def test_hours_served_and_short_add_up_to_those_needed(needed, supplied):
    supply = power.hours_of_supply(needed, supplied)

    assert supply.served_share * needed + supply.short_hours == pytest.approx(needed)
