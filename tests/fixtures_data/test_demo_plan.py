"""What the district can do today and what the plan of ``plan.csv`` makes of the money.

Judged by the verification of results, which shares nothing with the optimiser.
"""

from collections import defaultdict

import pytest

from planner.engine.allocation import plan
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.coverage import assess
from tests.fixtures_data.district import planning_case
from tests.fixtures_data.tables import catalogue, demo

GAP = 0.001


@pytest.fixture(scope="module")
def case() -> Case:
    return planning_case()


@pytest.fixture(scope="module")
def result(case) -> Result:
    return plan(case, gap=GAP, seconds=300)


def possible_worth(case: Case) -> dict[str, float]:
    """Area -> the objective if every test of its people were done by its best method."""
    best: dict[str, float] = defaultdict(float)
    for method in case.methods:
        best[method.test] = max(best[method.test], method.sensitivity)
    weight = {test.code: test.weight for test in case.tests}
    possible: dict[str, float] = defaultdict(float)
    for site in case.sites:
        for test, asked in site.demand.items():
            possible[site.area] += asked * weight[test] * best[test]
    return possible


def reached_shares(case: Case, result: Result) -> dict[str, float]:
    """Area -> the share of its largest possible objective that the result reaches."""
    area = {site.code: site.area for site in case.sites}
    methods = {method.code: method for method in case.methods}
    weight = {test.code: test.weight for test in case.tests}
    met: dict[str, float] = defaultdict(float)
    for volume in result.volumes:
        method = methods[volume.method]
        met[area[volume.origin]] += volume.per_year * weight[method.test] * method.sensitivity
    return {code: met[code] / worth for code, worth in possible_worth(case).items()}


def done_share(case: Case, result: Result) -> float:
    asked = sum(sum(site.demand.values()) for site in case.sites)
    return sum(volume.per_year for volume in result.volumes) / asked


def test_the_case_leaves_out_the_two_facilities_whose_hours_are_not_known(case):
    known = {row["code"] for row in demo("facilities") if row["testing_hours_per_year"]}

    assert {site.code for site in case.sites} == known
    assert len(known) == 60


def test_the_plan_is_proved_good_and_keeps_every_limit(case, result):
    assert result.status == "optimal"
    assert result.gap <= GAP
    assert verify(case, result) == []


def test_today_about_half_of_the_worth_is_reached_and_the_plan_reaches_much_more(case, result):
    possible = sum(possible_worth(case).values())

    assert 0.40 < result.objective_before / possible < 0.55
    assert 0.70 < result.objective / possible < 0.90
    assert 0.70 < done_share(case, result) < 0.90


def test_the_plan_buys_repairs_trains_and_provides(result):
    assert {action.kind for action in result.actions} == {"buy", "repair", "train", "provide"}


def test_money_trainers_and_every_earmark_are_used(case, result):
    days = {skill.code: skill.trainer_days for skill in case.skills}
    used = sum(days[action.item] for action in result.actions if action.kind == "train")

    assert result.money.capital > 0.75 * case.limits.capital
    assert result.money.recurrent > 0.99 * case.limits.recurrent
    assert used > 0.9 * case.limits.trainer_days
    assert min(result.money.earmarks[programme] for programme in case.limits.earmarks) > 0


def test_every_block_reaches_its_floor_and_one_block_only_just(case, result):
    floors = {area.code: area.floor for area in case.areas if area.floor}
    reached = reached_shares(case, result)

    assert {code for code, floor in floors.items() if reached[code] < floor - 1e-6} == set()
    assert min(reached[code] - floor for code, floor in floors.items()) < 0.01


def test_low_cost_devices_with_evidence_are_bought_and_those_without_are_not(result):
    bought = {action.item for action in result.actions if action.kind == "buy"}
    low_cost = {
        row["code"]: row["evidence"]
        for row in catalogue("device_models")
        if row["is_low_cost"] == "true"
    }

    assert {low_cost[item] for item in bought & low_cost.keys()} == {"B"}
    assert {"C", "D"} <= set(low_cost.values())


def test_every_state_of_coverage_occurs(case):
    states = assess(case).table()["state"].value_counts().to_dict()

    assert set(states) == {"runs", "referred", "unknown", "blocked", "not_expected"}
    assert min(states.values()) >= 5


def test_every_test_runs_somewhere_or_could(case):
    """A price for making it run, or a site where it runs, for each of the 69 tests."""
    table = assess(case).table()
    runs = set(table.loc[table["state"] == "runs", "test"])
    fixable = set(table.loc[table["fix_cost"].notna() & (table["fix"] != ""), "test"])

    assert runs | fixable == {test.code for test in case.tests}
    assert 30 < len(runs) < 69
