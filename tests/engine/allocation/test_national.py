"""Planning by sites against one program for all, on cases small enough for both."""

import math

import pytest

from planner.engine.allocation.backend import highs
from planner.engine.allocation.instance import instance_of
from planner.engine.allocation.national.country import country_of
from planner.engine.allocation.national.split import Split, split_plan
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import tight_model
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.independent.judged import changed
from tests.independent.random_cases import crowded_case

CLOSE = 1e-6


def split(case: Case, gap: float = 0.0) -> tuple[Split, float]:
    """The plan by sites and its worth."""
    instance = instance_of(case)
    country = country_of(instance)
    assert country is not None
    found = split_plan(instance, country, Watch(60), gap=gap)
    return found, found.value(country)


def whole(case: Case) -> float:
    """The optimum of one program for all; minus infinity if no plan keeps the limits."""
    return highs.maximise(tight_model(instance_of(case)).program, Watch(60), gap=1e-7).value


def unlinked(document) -> None:
    document["links"] = []


@pytest.mark.parametrize("seed", range(60))
def test_crooked_small_districts_lie_between_value_and_bound(seed):
    """Loads that take several units, earmarks, floors, repairs, absent limits."""
    case = changed(crowded_case(seed), unlinked)

    found, value = split(case)

    best = whole(case)
    close = CLOSE * max(1.0, abs(best)) if best > -math.inf else 0.0
    assert value <= best + close
    assert found.bound >= best - close


@pytest.mark.parametrize("seed", range(40))
def test_districts_of_fifteen_sites_are_planned_to_within_a_percent_or_two(seed):
    case = generate_case(15, 12, seed)

    found, value = split(case)

    best = whole(case)
    assert value <= best * (1 + CLOSE)
    assert found.bound >= best * (1 - CLOSE)
    assert value >= 0.97 * best
    assert found.bound <= 1.02 * best


def more_money(document) -> None:
    document["limits"]["capital"] *= 1.2


def looser_days(document) -> None:
    document["limits"]["trainer_days"] *= 1.5


def more_running_money(document) -> None:
    document["limits"]["recurrent"] *= 1.3


def no_floors(document) -> None:
    for area in document["areas"]:
        area["floor"] = 0


@pytest.mark.parametrize("relax", [more_money, looser_days, more_running_money, no_floors])
@pytest.mark.parametrize("seed", range(3))
def test_no_plan_is_above_the_bound_of_a_looser_case(seed, relax):
    case = generate_case(40, 20, seed)

    _, value = split(case, gap=1e-3)

    assert value <= split(changed(case, relax), gap=1e-3)[0].bound * (1 + CLOSE)


def seven_times_the_weights(document) -> None:
    for test in document["tests"]:
        test["weight"] *= 7


def another_currency(document) -> None:
    limits = document["limits"]
    for key in ("capital", "recurrent"):
        limits[key] *= 13
    limits["earmarks"] = {code: 13 * money for code, money in limits["earmarks"].items()}
    for model in document["device_models"]:
        for key in ("price", "annual_cost", "repair_cost"):
            model[key] *= 13
    for skill in document["skills"]:
        for key in ("training_cost", "supervision_cost"):
            skill[key] *= 13
    for item in document["infrastructure"]:
        item["cost"] = {level: 13 * cost for level, cost in item["cost"].items()}
    for method in document["methods"]:
        method["consumable_cost"] *= 13


def sites_in_reverse(document) -> None:
    document["sites"] = document["sites"][::-1]


def twice_the_country(document) -> None:
    """A second country of the same sites, with as much of everything that is shared."""
    twins = [{**site, "code": f"twin-{site['code']}"} for site in document["sites"]]
    stock = [{**entry, "site": f"twin-{entry['site']}"} for entry in document["stock"]]
    document["sites"] += twins
    document["stock"] += stock
    limits = document["limits"]
    for key in ("capital", "recurrent", "trainer_days"):
        limits[key] *= 2
    limits["earmarks"] = {code: 2 * money for code, money in limits["earmarks"].items()}


@pytest.mark.parametrize(
    ("change", "times"),
    [
        (seven_times_the_weights, 7),
        (another_currency, 1),
        (sites_in_reverse, 1),
        (twice_the_country, 2),
    ],
)
@pytest.mark.parametrize("seed", range(3))
def test_what_is_scaled_or_turned_stays_within_the_bounds(seed, change, times):
    """Either plan, carried over to the other case, must not exceed what is proven there."""
    case = generate_case(40, 20, seed)

    before, value = split(case, gap=1e-3)
    after, changed_value = split(changed(case, change), gap=1e-3)

    assert times * value <= after.bound * (1 + CLOSE)
    if change is not twice_the_country:  # its plan need not be two times one plan
        assert changed_value <= times * before.bound * (1 + CLOSE)
