"""What a plan promises beside its worth: one choice among equals, nothing idle, on time."""

import json
import random
from typing import Any

import pytest

from planner.engine.allocation import Progress, plan, today
from planner.engine.allocation.backend import highs
from planner.engine.allocation.backend.answer import SolverError
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.errors import NoPlanError
from tests.benchmarks.generator import generate_case
from tests.factories.cases import (
    area,
    case,
    device_model,
    lab_test,
    limits,
    link,
    method,
    need,
    programme,
    serves,
    site,
    skill,
    stock,
)
from tests.factories.results import three_sites

SHUFFLED = ("areas", "programmes", "skills", "infrastructure", "device_models", "tests",
            "methods", "sites", "stock", "links")  # fmt: skip


def shuffled(given: Case, seed: int) -> Case:
    """The same case with every list whose order means nothing in another order."""
    document = given.to_json()
    draw = random.Random(seed)
    for name in SHUFFLED:
        draw.shuffle(document[name])
    for entry in document["methods"]:
        draw.shuffle(entry["needs"])
        draw.shuffle(entry["skills"])
    for entry in document["sites"]:
        entry["demand"] = dict(draw.sample(sorted(entry["demand"].items()), len(entry["demand"])))
    return Case.read(json.dumps(document))


def without_the_run(result: Result) -> dict[str, Any]:
    """Everything but how long it took and which order of the case it answers."""
    return result.model_dump(exclude={"seconds", "case_sha256"})


def taken(result: Result) -> list[tuple[str, str, str, int]]:
    return [(a.site, a.kind, a.item, a.quantity) for a in result.actions]


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_the_lists_makes_no_difference(seed):
    given = three_sites()

    assert without_the_run(plan(shuffled(given, seed))) == without_the_run(plan(given))


def test_the_order_of_the_lists_makes_no_difference_to_a_plan_short_of_proof():
    given = generate_case(12, 20, seed=3, hubs_per_site=2)

    answers = [plan(each, gap=0.02) for each in (given, shuffled(given, 7))]

    assert without_the_run(answers[0]) == without_the_run(answers[1])


def test_codes_that_differ_in_a_hyphen_only_are_two_sites():
    given = case(
        tests=[lab_test("pcv")],
        methods=[method("spin", "pcv", need("centrifuge"))],
        device_models=[device_model("spinner", serves("centrifuge"), price=50)],
        sites=[site("hill-top", demand={"pcv": 100}), site("hill_top", demand={"pcv": 40})],
        limits=limits(capital=100),
    )

    assert taken(plan(given)) == [
        ("hill-top", "buy", "spinner", 1),
        ("hill_top", "buy", "spinner", 1),
    ]


def test_of_equal_plans_the_one_that_spends_least_is_chosen():
    """Either device does all tests; the one bought more dearly costs less to keep."""
    given = case(
        tests=[lab_test("pcv")],
        methods=[method("spin", "pcv", need("centrifuge"))],
        device_models=[
            device_model("cheap", serves("centrifuge"), price=50, annual_cost=20),
            device_model("dear", serves("centrifuge"), price=60, annual_cost=5),
        ],
        sites=[site(demand={"pcv": 100})],
        limits=limits(capital=1000),
    )

    assert taken(plan(given)) == [("hill", "buy", "dear", 1)]  # 65 in the first year, not 70


def test_of_equal_methods_the_cheaper_one_is_used():
    given = case(
        tests=[lab_test("pcv")],
        methods=[
            method("dear", "pcv", consumable_cost=2),
            method("cheap", "pcv", consumable_cost=1, staff_hours=1),
        ],
        sites=[site(demand={"pcv": 100}, staff_hours=30)],
    )

    answer = plan(given)

    assert {volume.method: volume.per_year for volume in answer.volumes} == {
        "cheap": 30,
        "dear": 70,
    }
    assert answer.money.recurrent == 30 + 140


@pytest.mark.parametrize("price", [0, 50])
def test_spare_money_buys_nothing_that_stays_idle(price):
    given = case(
        tests=[lab_test("pcv"), lab_test("smear", weight=0)],
        methods=[
            method("spin", "pcv", need("centrifuge", hours=0.5)),
            method("look", "smear", need("microscope"), skills=["optics"]),
        ],
        skills=[skill("optics", training_cost=price)],
        device_models=[
            device_model("spinner", serves("centrifuge"), price=price, hours_per_year=30),
            device_model("scope", serves("microscope"), price=price),
        ],
        sites=[site(demand={"pcv": 100, "smear": 100})],
        limits=limits(capital=1000, max_units=9),
    )

    assert taken(plan(given)) == [("hill", "buy", "spinner", 2)]  # 50 hours: two units of 30


def test_earmarks_are_drawn_before_capital_and_lower_codes_first():
    given = case(
        programmes=[programme(), programme("fever"), programme("heart")],
        tests=[lab_test("pcv")],
        methods=[method("spin", "pcv", need("centrifuge"))],
        device_models=[
            device_model("spinner", serves("centrifuge"), price=50, programmes=["heart", "fever"])
        ],
        sites=[site(demand={"pcv": 100})],
        limits=limits(capital=1000, earmarks={"heart": 30, "fever": 40, "general": 5}),
    )

    money = plan(given).money

    assert money.model_dump() == {
        "capital": 0,
        "recurrent": 0,
        "earmarks": {"fever": 40, "heart": 10, "general": 0},
    }


def test_what_is_possible_today_takes_no_action_and_heeds_no_floor():
    given = case(
        areas=[area(floor=0.9)],
        tests=[lab_test("pcv", max_transport_hours=9)],
        methods=[method("spin", "pcv", need("centrifuge"), staff_hours=1)],
        device_models=[device_model("spinner", serves("centrifuge"))],
        sites=[site("hill", demand={"pcv": 100}), site("lake", staff_hours=30)],
        stock=[stock("lake", "spinner", working=1), stock("hill", "spinner", broken=1)],
        links=[link("hill", "lake", cost=2)],
        limits=limits(capital=1000),
    )

    answer = today(given)

    assert (answer.status, answer.objective, answer.objective_before) == ("optimal", 30, 30)
    assert answer.actions == ()
    assert [(v.origin, v.at, v.per_year) for v in answer.volumes] == [("hill", "lake", 30)]
    assert answer.money.recurrent == 60


def test_a_case_without_demand_has_an_empty_plan():
    answer = plan(case(sites=[site()], limits=limits(capital=100)))

    assert (answer.status, answer.objective, answer.bound, answer.gap) == ("optimal", 0, 0, 0)
    assert (answer.actions, answer.volumes) == ((), ())


def test_a_larger_plan_keeps_every_rule_of_the_judge_and_its_gap():
    given = generate_case(30, 20, seed=5, hubs_per_site=3)

    answer = plan(given, gap=0.01)

    assert verify(given, answer) == []
    assert answer.status == "optimal"
    assert answer.objective <= answer.bound <= answer.objective * 1.01


def test_a_plan_worse_than_the_gap_asked_is_called_feasible():
    given = generate_case(30, 20, seed=5, hubs_per_site=3)

    def cancelled() -> bool:
        return reports[-1].phase == "search"

    reports: list[Progress] = []
    answer = plan(given, gap=0, progress=reports.append, cancelled=cancelled)

    assert answer.status == "feasible"
    assert answer.gap > 0
    assert verify(given, answer) == []


def test_reports_tell_phase_objective_bound_and_the_gap_between_them():
    reports: list[Progress] = []

    plan(three_sites(), gap=0, progress=reports.append)

    assert [report.phase for report in reports] == [
        "preparing", "today", "preparing", "bound", "first plans", "search", "finishing",
    ]  # fmt: skip
    last = reports[-1]
    assert last.objective == pytest.approx(10_525)
    assert last.gap == pytest.approx((last.bound - last.objective) / last.objective)


def test_a_run_cancelled_before_a_plan_is_found_says_so():
    with pytest.raises(NoPlanError) as refusal:
        plan(three_sites(), cancelled=lambda: True)

    assert str(refusal.value) == (
        "The run was cancelled after 0 s, before a plan was found. Start it again to get one."
    )


def test_a_run_without_time_says_so():
    with pytest.raises(NoPlanError) as refusal:
        plan(three_sites(), seconds=0)

    assert str(refusal.value) == (
        "No plan was found within 0 s. Allow more time, or plan fewer sites at once."
    )


def test_cbc_takes_over_where_highs_fails(monkeypatch):
    def failing(*_, **__):
        raise SolverError("HiGHS failed: out of order.", remedy="Solve with CBC instead.")

    monkeypatch.setattr(highs, "maximise", failing)

    answer = plan(three_sites(), gap=0)

    assert (answer.objective, answer.solver) == (10_525, "CBC, shipped with PuLP")
