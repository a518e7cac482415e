"""Limits that exclude every plan: which of them could give, by how much, in which words."""

import json
from typing import Any

import pytest

from planner.engine.allocation import plan
from planner.engine.case import Case, Relaxation
from tests.factories.cases import (
    area,
    case,
    device_model,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    skill,
)


def reasons(given: Case) -> list[tuple[str, float, float]]:
    answer = plan(given)
    assert answer.status == "infeasible"
    return [(reason.limit, reason.stated, reason.needed) for reason in answer.reasons]


def relaxed(given: Case, changes: tuple[Relaxation, ...]) -> Case:
    """The case with the limits that the reasons ask for."""
    document = given.to_json()
    for change in changes:
        kind, *names = change.limit.split(".")
        if kind == "limits":
            document["limits"][names[0]] = change.needed
        else:
            [place] = [each for each in document["areas"] if each["code"] == names[0]]
            place["floor"] = change.needed
    return Case.read(json.dumps(document))


def district(*, floor: float = 0.5, **given: Any) -> Case:
    """100 tests are asked for; a spinner costs 50, a test 1 a year."""
    lists = {
        "areas": [area("east", floor=floor)],
        "tests": [lab_test("pcv")],
        "methods": [method("spin", "pcv", need("centrifuge"), consumable_cost=1)],
        "device_models": [device_model("spinner", serves("centrifuge"), price=50)],
        "sites": [site(area="east", demand={"pcv": 100})],
        "limits": limits(capital=20),
    }
    return case(**{**lists, **given})


def test_capital_and_floor_are_named_each_with_what_it_alone_would_need():
    """Without a spinner nothing is tested for: the floor must fall to 0, or capital be 50."""
    assert reasons(district()) == [
        ("areas.east.floor", 0.5, 0.0),
        ("limits.capital", 20, 50),
    ]


def test_the_limit_that_asks_for_the_least_change_comes_first():
    """40 to 50 is a quarter more; giving up the floor is all of it."""
    assert [limit for limit, _, _ in reasons(district(limits=limits(capital=40)))] == [
        "limits.capital",
        "areas.east.floor",
    ]


def test_running_money_is_named_with_the_tests_that_the_floor_asks_for():
    given = district(limits=limits(capital=50, recurrent=30.5))

    assert reasons(given) == [("areas.east.floor", 0.5, 0.305), ("limits.recurrent", 30.5, 50)]


def test_trainer_days_are_named():
    given = district(
        methods=[method("look", "pcv", skills=["optics"])],
        skills=[skill("optics", trainer_days=5)],
        limits=limits(trainer_days=3),
    )

    assert reasons(given) == [("limits.trainer_days", 3, 5), ("areas.east.floor", 0.5, 0)]


def test_a_limit_that_does_not_help_is_not_named():
    """No money finds staff: ten hours are ten tests."""
    slow = [method("spin", "pcv", need("centrifuge"), staff_hours=1)]
    given = district(
        methods=slow,
        sites=[site(area="east", demand={"pcv": 100}, staff_hours=10)],
        limits=limits(capital=50),
    )

    assert reasons(given) == [("areas.east.floor", 0.5, 0.1)]


def test_limits_that_help_only_together_are_named_together():
    """The east lacks 5 of a spinner's price; the west asks for a laser that nobody makes."""
    given = district(floor=1.0, limits=limits(capital=45))
    both_areas = given.model_copy(
        update={
            "areas": (area("east", floor=1.0), area("west", floor=1.0)),
            "sites": (
                site("hill", area="east", demand={"pcv": 50}),
                site("lake", area="west", demand={"laser": 10}),
            ),
            "tests": (lab_test("laser"), lab_test("pcv")),
            "methods": (*given.methods, method("beam", "laser", need("laser"))),
        }
    )

    answer = plan(both_areas)

    assert {reason.limit for reason in answer.reasons} == {"areas.west.floor", "limits.capital"}
    assert plan(relaxed(both_areas, answer.reasons)).status == "optimal"


def test_a_reason_says_in_words_what_would_do():
    floor, capital = plan(district()).reasons

    assert capital.text == (
        "With capital at 50.00 USD instead of 20.00 USD and every other limit as it is "
        "there is a plan."
    )
    assert floor.text == (
        "With the floor of area east at 0.00% instead of 50.00% and every other limit as it "
        "is there is a plan."
    )


def test_an_infeasible_result_states_no_plan_but_what_is_possible_today():
    answer = plan(district())

    assert (answer.objective, answer.bound, answer.gap) == (None, None, None)
    assert (answer.actions, answer.volumes) == ((), ())
    assert answer.objective_before == 0


@pytest.mark.parametrize("solver", ["highs", "cbc"])
@pytest.mark.parametrize("number", range(2))
def test_each_limit_named_alone_is_enough_by_itself_and_hardly_less_would_be(number, solver):
    given = district(limits=limits(capital=50, recurrent=30))
    reason = plan(given, solver=solver).reasons[number]
    step = (reason.needed - reason.stated) / 50
    short = reason.model_copy(update={"needed": reason.needed - step})

    assert plan(relaxed(given, (reason,))).status == "optimal"
    assert plan(relaxed(given, (short,))).status == "infeasible"
