"""How the optimum must move when the case is changed, whatever the optimum is.

Each holds by the statement of the problem alone. Values are compared, never plans: equally
good plans may differ.
"""

import math
from collections.abc import Callable
from typing import Any

import pytest

from planner.engine.case import Case
from tests.independent.judged import GAP, best, changed
from tests.independent.random_cases import random_case

Document = dict[str, Any]
SEEDS = range(30)


def no_worse(after: float, before: float) -> bool:
    return before == -math.inf or after >= before - GAP * max(1.0, abs(before))


def same(value: float) -> Any:
    return pytest.approx(value, rel=GAP, abs=GAP)


def more_capital(document: Document) -> None:
    document["limits"]["capital"] = 1.3 * document["limits"]["capital"] + 50


def larger_earmarks(document: Document) -> None:
    document["limits"]["earmarks"] = {"fever": 400, "general": 400}


def no_limit_on_running_cost(document: Document) -> None:
    document["limits"]["recurrent"] = None


def no_limit_on_trainer_days(document: Document) -> None:
    document["limits"]["trainer_days"] = None


def one_more_unit(document: Document) -> None:
    document["limits"]["max_units"] += 1


def more_staff(document: Document) -> None:
    for site in document["sites"]:
        site["staff_hours"] *= 1.5


def better_evidence(document: Document) -> None:
    document["minimum_evidence"] = "D"


def no_floors(document: Document) -> None:
    for area in document["areas"]:
        area["floor"] = 0


def cheaper_devices(document: Document) -> None:
    for model in document["device_models"]:
        model["price"] *= 0.7


def sturdier_specimens(document: Document) -> None:
    for test in document["tests"]:
        test["max_transport_hours"] = 1000


def links_everywhere(document: Document) -> None:
    """Adds a slow and dear link where there is none: it may be used, and need not be."""
    codes = [site["code"] for site in document["sites"]]
    there = {(link["from"], link["to"]) for link in document["links"]}
    document["links"] += [
        {"from": origin, "to": to, "hours": 4, "cost": 2}
        for origin in codes
        for to in codes
        if origin != to and (origin, to) not in there
    ]


RELAXATIONS: list[Callable[[Document], None]] = [
    more_capital,
    larger_earmarks,
    no_limit_on_running_cost,
    no_limit_on_trainer_days,
    one_more_unit,
    more_staff,
    better_evidence,
    no_floors,
    cheaper_devices,
    sturdier_specimens,
    links_everywhere,
]


@pytest.mark.parametrize("relax", RELAXATIONS, ids=lambda relax: relax.__name__)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_is_never_worse_for(relax, seed):
    case = random_case(seed)

    assert no_worse(best(changed(case, relax)), best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_twice_the_weights_give_twice_the_objective(seed):
    def double(document: Document) -> None:
        for test in document["tests"]:
            test["weight"] *= 2

    case = random_case(seed)

    assert best(changed(case, double)) == same(2 * best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_another_currency_changes_nothing(seed):
    def in_cents(document: Document) -> None:
        limits = document["limits"]
        limits["capital"] *= 100
        limits["recurrent"] = limits["recurrent"] and 100 * limits["recurrent"]
        limits["earmarks"] = {code: 100 * money for code, money in limits["earmarks"].items()}
        for item in document["infrastructure"]:
            item["cost"] = {level: 100 * cost for level, cost in item["cost"].items()}
        for name, keys in (
            ("device_models", ("price", "annual_cost", "repair_cost")),
            ("skills", ("training_cost", "supervision_cost")),
            ("methods", ("consumable_cost",)),
            ("links", ("cost",)),
        ):
            for entry in document[name]:
                entry.update({key: 100 * entry[key] for key in keys})

    case = random_case(seed)

    assert best(changed(case, in_cents)) == same(best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_every_list_means_nothing(seed):
    def reverse(document: Document) -> None:
        for name, entries in document.items():
            if isinstance(entries, list):
                document[name] = entries[::-1]

    case = random_case(seed)

    assert best(changed(case, reverse)) == same(best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_model_that_is_worse_in_everything_changes_nothing(seed):
    def many_units(document: Document) -> None:
        document["limits"]["max_units"] = 50  # so that the worse model adds no room

    def add_worse(document: Document) -> None:
        model = document["device_models"][0]
        document["device_models"].append(
            {
                **model,
                "code": "worse",
                "price": model["price"] + 1,
                "annual_cost": model["annual_cost"] + 1,
                "hours_per_year": 0.9 * model["hours_per_year"],
            }
        )

    case = changed(random_case(seed), many_units)

    assert best(changed(case, add_worse)) == same(best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_test_that_nobody_asks_for_is_ignored(seed):
    def add_unasked(document: Document) -> None:
        test = {**document["tests"][0], "code": "unasked", "weight": 100}
        document["tests"].append(test)
        document["methods"].append(
            {**document["methods"][0], "code": "for-nobody", "test": "unasked"}
        )
        for site in document["sites"]:
            site["demand"]["unasked"] = 0

    case = random_case(seed)

    assert best(changed(case, add_unasked)) == same(best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_way_that_is_beaten_in_everything_changes_nothing(seed):
    def add_beaten(document: Document) -> None:
        for method in list(document["methods"]):
            document["methods"].append(
                {
                    **method,
                    "code": f"{method['code']}-beaten",
                    "sensitivity": 0.9 * method["sensitivity"],
                    "staff_hours": method["staff_hours"] + 0.1,
                }
            )

    case = random_case(seed)

    assert best(changed(case, add_beaten)) == same(best(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_district_twice_over_with_twice_the_money_is_worth_at_least_twice(seed):
    case = random_case(seed)

    assert no_worse(best(changed(case, twice_over)), 2 * best(case))


def twice_over(document: Document) -> None:
    """Every site, its stock and its links once more, and every limit doubled."""
    for name, keys in (("sites", ("code",)), ("stock", ("site",)), ("links", ("from", "to"))):
        document[name] += [
            {**entry, **{key: f"{entry[key]}-again" for key in keys}} for entry in document[name]
        ]
    limits = document["limits"]
    for key in ("capital", "recurrent", "trainer_days"):
        limits[key] = limits[key] and 2 * limits[key]
    limits["earmarks"] = {code: 2 * money for code, money in limits["earmarks"].items()}


def test_the_cases_used_here_are_not_all_out_of_reach():
    reached = [value for value in map(best, map(random_case, SEEDS)) if value > 0]

    assert len(reached) >= 15


def case_without_links(case: Case) -> Case:
    return changed(case, lambda document: document["links"].clear())


@pytest.mark.parametrize("seed", SEEDS)
def test_with_referral_the_plan_is_never_worse_than_without(seed):
    case = random_case(seed)

    assert no_worse(best(case), best(case_without_links(case)))
