"""Planning by sites against one program for all, on cases small enough for both."""

import math

import pytest

from planner.engine.allocation.backend import highs
from planner.engine.allocation.instance import instance_of
from planner.engine.allocation.national.country import country_of
from planner.engine.allocation.national.groups import MOST_TOGETHER, groups_of
from planner.engine.allocation.national.split import Split, split_plan
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import tight_model
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.factories.cases import case as small_case
from tests.factories.cases import (
    device_model,
    lab_test,
    limits,
    link,
    method,
    need,
    serves,
    site,
)
from tests.independent.judged import changed
from tests.independent.random_cases import crowded_case

CLOSE = 1e-6


def split(case: Case, gap: float = 0.0) -> tuple[Split, float]:
    """The plan by sites and its worth."""
    instance = instance_of(case)
    country = country_of(instance)
    assert country is not None
    found = split_plan(instance, country, Watch(60), gap=gap)
    return found, found.value


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


def without_floors(document) -> None:
    for area in document["areas"]:
        area["floor"] = 0


@pytest.mark.parametrize("seed", range(20))
def test_sites_tied_by_links_are_planned_as_one(seed):
    """Four sites and what travels among them: one group, or two and a site alone."""
    case = changed(crowded_case(seed), without_floors)

    found, value = split(case)

    best = whole(case)
    close = CLOSE * max(1.0, abs(best))
    assert value <= best + close
    assert found.bound >= best - close


def test_only_sites_that_can_help_each_other_are_tied():
    """Of two links one is too slow for every specimen; wood has none."""
    given = {
        "tests": [lab_test("pcv", max_transport_hours=4)],
        "methods": [method("spin", "pcv", need("centrifuge"))],
        "device_models": [device_model("spinner", serves("centrifuge"), price=50)],
        "sites": [
            site("hill", demand={"pcv": 100}),
            site("lake", demand={"pcv": 100}),
            site("mill", demand={"pcv": 100}),
            site("wood", demand={"pcv": 100}),
        ],
        "links": [link("hill", "lake", hours=3), link("lake", "mill", hours=5)],
        "limits": limits(capital=100),
    }

    tied = groups_of(instance_of(small_case(**given)))

    assert [sites.tolist() for sites, _ in tied] == [[0, 1]]


def test_a_group_of_too_many_sites_is_left_to_one_program():
    """A hub for everybody ties all together; the country is then not split."""
    hub = "s00"
    codes = [f"s{number:02}" for number in range(MOST_TOGETHER + 1)]
    given = {
        "tests": [lab_test("pcv", max_transport_hours=4)],
        "methods": [method("spin", "pcv", need("centrifuge"))],
        "device_models": [device_model("spinner", serves("centrifuge"), price=50)],
        "limits": limits(capital=100),
    }

    def tied(number: int):
        sites = [site(code, demand={"pcv": 100}) for code in codes[:number]]
        links = [link(code, hub, hours=1) for code in codes[1:number]]
        return country_of(instance_of(small_case(**given, sites=sites, links=links)))

    assert tied(MOST_TOGETHER) is not None
    assert tied(MOST_TOGETHER + 1) is None


def more_money(document) -> None:
    document["limits"]["capital"] *= 1.2


def looser_days(document) -> None:
    document["limits"]["trainer_days"] *= 1.5


def more_running_money(document) -> None:
    document["limits"]["recurrent"] *= 1.3


@pytest.mark.parametrize("relax", [more_money, looser_days, more_running_money, without_floors])
@pytest.mark.parametrize("seed", range(2))
def test_no_plan_is_above_the_bound_of_a_looser_case(seed, relax):
    case = generate_case(25, 15, seed)

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
    for way in document["methods"]:
        way["consumable_cost"] *= 13


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
@pytest.mark.parametrize("seed", range(2))
def test_what_is_scaled_or_turned_stays_within_the_bounds(seed, change, times):
    """Either plan, carried over to the other case, must not exceed what is proven there."""
    case = generate_case(25, 15, seed)

    before, value = split(case, gap=1e-3)
    after, changed_value = split(changed(case, change), gap=1e-3)

    assert times * value <= after.bound * (1 + CLOSE)
    if change is not twice_the_country:  # its plan need not be two times one plan
        assert changed_value <= times * before.bound * (1 + CLOSE)
