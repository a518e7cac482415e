"""Quantification against published formulas and worked figures; each row says whose."""

import numpy as np
import pint
import pytest

from planner.engine import demand

# Formula seen in the WHO guide on managing tuberculosis drugs (consumption method); the figures
# were put into it by hand, so the expected values are the formula's, not the guide's.
WHO = "WHO guide on the management of tuberculosis drugs (formula seen, figures computed)"
CONSUMPTION = [
    # units used, months, days out of stock, expected units a month, tolerance, source
    (6000, 12, 61, 600.4, 0.1, WHO),
    (6000, 12, 0, 500.0, 1e-9, WHO),
    (900, 6, 30.4, 180.0, 1e-9, WHO),
]


@pytest.mark.parametrize(("used", "months", "out", "expected", "tolerance", "source"), CONSUMPTION)
def test_monthly_consumption_counts_only_the_months_in_stock(
    used, months, out, expected, tolerance, source
):
    found = demand.monthly_consumption(used, months, out)

    assert found == pytest.approx(expected, abs=tolerance), source


def test_monthly_consumption_agrees_with_a_library_of_units():
    """Reference: pint, with the formula's month of 30.4 days."""
    units = pint.UnitRegistry()
    units.define("stock_month = 30.4 * day")
    in_stock = 12 * units.stock_month - 61 * units.day
    expected = (6000 / in_stock).to(1 / units.stock_month).magnitude

    assert demand.monthly_consumption(6000, 12, 61) == pytest.approx(expected, rel=1e-12)


def test_the_order_covers_lead_time_and_period_and_safety_stock_less_what_is_there():
    """Source: the same guide; 3 months lead time, 12 to cover, safety stock CA × LT, 900 there."""
    monthly = demand.monthly_consumption(6000, 12, 61)

    order = demand.order_quantity(monthly, 3, 12, 3 * monthly, on_hand_units=900)

    assert order == pytest.approx(9907, abs=1)


PREGNANCIES = [
    # people, births per 1000, expected pregnancies, source
    (30_000, 25, 825, "population × CBR × 1.10 (common practice, no source)"),
    (5000, 25, 137.5, "the same for a catchment of 5000"),
]


@pytest.mark.parametrize(("people", "births", "expected", "source"), PREGNANCIES)
def test_expected_pregnancies_follow_from_the_birth_rate(people, births, expected, source):
    assert demand.expected_pregnancies(people, births) == pytest.approx(expected, rel=1e-12), source


def test_four_visits_of_each_pregnancy_give_3300_haemoglobins_for_30_000_people():
    """Worked example: 825 pregnancies, four antenatal visits, one haemoglobin at each."""
    per_person = demand.expected_pregnancies(30_000, 25) / 30_000

    assert demand.from_morbidity(30_000, per_person, tests_per_episode=4) == pytest.approx(3300)


def test_the_yearly_blood_examination_target_is_a_tenth_of_the_people():
    """Programme norm: annual blood examination rate of 10 % (from memory)."""
    assert demand.from_morbidity(30_000, 0.10) == pytest.approx(3000, rel=1e-12)


def test_morbidity_has_the_dimension_of_tests_a_year():
    """Reference: pint, each factor with its unit."""
    units = pint.UnitRegistry()
    units.define("person = [person]")
    units.define("episode = [episode]")
    units.define("lab_test = [lab_test]")
    rate = 1.2 * units.episode / units.person / units.year
    product = 12_000 * units.person * rate * 0.6 * 0.35 * (1.5 * units.lab_test / units.episode)
    expected = product.to(units.lab_test / units.year).magnitude

    assert demand.from_morbidity(12_000, 1.2, 0.6, 0.35, 1.5) == pytest.approx(expected, rel=1e-12)


def test_service_statistics_find_a_known_demand_again_from_what_was_recorded_of_it():
    """Reference: numpy draws. 4000 tests a year are asked for; a quarter of the days the device
    is down, and a fifth of the twelve monthly reports is lost. The mean of many such years is
    the demand, to within four standard errors."""
    generator = np.random.default_rng(20261125)
    years, days_down = 4000, 91
    open_days = 365 - days_down
    done = generator.poisson(4000 / 365 * open_days / 12, size=(years, 12))
    arrives = generator.random((years, 12)) < 0.8
    recorded, completeness = (done * arrives).sum(axis=1), arrives.mean(axis=1)

    found = demand.from_service_statistics(recorded, completeness, days_down)

    kept = found[completeness > 0]
    error = kept.std() / np.sqrt(len(kept))
    assert kept.mean() == pytest.approx(4000, abs=4 * error)
    assert error < 5


def test_units_bought_for_tests_serve_as_many_tests_when_used_up():
    """Planning defaults: 10 % controls, 5 % repeats, 5 % wastage (unverified)."""
    extra = (0.10, 0.05, 0.05)
    units = demand.units_for_tests(1200, *extra)

    assert units == pytest.approx(1440)
    assert demand.from_consumption(units / 12, 1, *extra) == pytest.approx(1200, rel=1e-12)
