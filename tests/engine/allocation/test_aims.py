"""What is to be reached first, on cases whose optimum is plain arithmetic."""

import json
from typing import Any

import pytest

from planner.engine.allocation import Progress, plan, progress, securing, today
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.search import best_plan
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from tests.factories.cases import (
    area,
    case,
    device_model,
    lab_test,
    least_money,
    limits,
    method,
    minimum_set,
    need,
    programme,
    serves,
    site,
    target,
    worst_first,
)
from tests.independent.judged import judged_plan

DEVICES = {"slide": 50, "tube": 80, "strip": 20}
"""Price of the device for each test; one unit serves everybody at its site."""


def district(*sites: Any, capital: float, **given: Any) -> Case:
    """Tests slide, tube and strip (of programme ``few``), each with a device of its own."""
    lists = {
        "areas": [area("east"), area("west")],
        "programmes": [programme(), programme("few")],
        "tests": [
            lab_test(code, programme="few" if code == "strip" else "general") for code in DEVICES
        ],
        "methods": [method(code, code, need(code)) for code in DEVICES],
        "device_models": [
            device_model(code, serves(code), price=price) for code, price in DEVICES.items()
        ],
        "sites": sites,
        "limits": limits(capital=capital),
    }
    return case(**{**lists, **given})


HILL = site("hill", area="east", demand={"slide": 10, "tube": 100})
LAKE = site("lake", area="west", demand={"slide": 30, "tube": 100, "strip": 5})


def bought(answer: Result) -> list[tuple[str, str]]:
    return [(each.site, each.item) for each in answer.actions]


def stages(answer: Result) -> list[tuple[str, float, float]]:
    return [(stage.of, stage.reached, stage.bound) for stage in answer.stages]


BASICS = minimum_set("basics", ["slide", "strip"])


def test_as_many_sites_as_possible_reach_the_minimum_set_before_more_tests_are_done():
    # For 100 the tubes of one site and a strip make 105 tests. The set comes first: its three
    # pairs would cost 120, and of any two the slides of both sites are the most tests, 40.
    given = district(HILL, LAKE, capital=100, minimum_sets=[BASICS])

    answer = judged_plan(given)

    assert bought(answer) == [("hill", "slide"), ("lake", "slide")]
    assert stages(answer) == [("minimum_sets", 2, 2), ("worth", 40, 40)]
    assert [(p.site, p.test, p.share, p.reached, p.why) for p in answer.minimum_sets] == [
        ("hill", "slide", 1, True, ""),
        ("lake", "slide", 1, True, ""),
        ("lake", "strip", 0, False,
         "Within the limits no plan reaches it beside all the others that are reached."),
    ]  # fmt: skip


def test_what_is_left_after_the_minimum_set_goes_to_most_tests():
    answer = judged_plan(district(HILL, LAKE, capital=200, minimum_sets=[BASICS]))

    assert bought(answer) == [
        ("hill", "slide"), ("hill", "tube"), ("lake", "slide"), ("lake", "strip")
    ] or bought(answer) == [
        ("hill", "slide"), ("lake", "slide"), ("lake", "strip"), ("lake", "tube")
    ]  # fmt: skip
    assert stages(answer) == [("minimum_sets", 3, 3), ("worth", 145, 145)]


@pytest.mark.parametrize(("levels", "pairs"), [((1,), 3), ((2,), 0)])
def test_only_sites_of_its_levels_are_to_reach_a_minimum_set(levels, pairs):
    basics = minimum_set("basics", ["slide", "strip"], levels=levels)

    assert len(plan(district(HILL, LAKE, capital=0, minimum_sets=[basics])).minimum_sets) == pairs


@pytest.mark.parametrize(("share", "reached"), [(0.5, True), (0.51, False)])
def test_a_test_is_reached_if_its_share_of_the_demand_is_done(share, reached):
    # 5 staff hours of the 10 that the slides of hill take.
    hill = HILL.model_copy(update={"staff_hours": 5.0})
    slow = [method("slide", "slide", need("slide"), staff_hours=1)]
    basics = minimum_set("basics", ["slide"], share=share)

    answer = judged_plan(district(hill, capital=50, methods=slow, minimum_sets=[basics]))

    assert [(pair.share, pair.reached) for pair in answer.minimum_sets] == [(0.5, reached)]


def test_a_test_of_no_weight_can_be_of_a_minimum_set():
    weightless = [lab_test(code, weight=0, programme="general") for code in DEVICES]

    answer = judged_plan(district(HILL, capital=50, tests=weightless, minimum_sets=[BASICS]))

    assert stages(answer) == [("minimum_sets", 1, 1), ("worth", 0, 0)]


def test_a_pair_that_nothing_can_serve_is_said_to_be_impossible():
    without = [method(code, code, need(code)) for code in ("tube", "strip")]

    answer = judged_plan(district(HILL, capital=500, methods=without, minimum_sets=[BASICS]))

    assert [pair.why for pair in answer.minimum_sets] == [
        "No method of it can be made to run at the site or where its specimens may go."
    ]


@pytest.mark.parametrize(
    ("targets", "spent", "worth"),
    [
        ([target(0)], 0, 0),
        ([target(0.5)], 130, 130),  # of 245: 100 of a tube and 30 slides at lake
        ([target(0.4)], 80, 100),
        ([target(1, programme="few")], 20, 5),
        ([target(0.9, area="east")], 80, 100),
        ([target(0.91, area="east")], 130, 110),
        ([target(0.9, area="east"), target(1, programme="few")], 100, 105),
        ([], 0, 0),
    ],
)
def test_targets_are_met_for_the_least_money(targets, spent, worth):
    given = district(HILL, LAKE, capital=1000, aim=least_money(*targets))

    answer = judged_plan(given)

    assert answer.money.capital == spent
    assert answer.objective == worth
    assert all(each.reached >= each.share for each in answer.targets)


def test_of_plans_that_cost_the_least_the_one_with_most_tests_is_taken():
    twins = [site("hill", area="east", demand={"tube": 60}), site("lake", demand={"tube": 90},
             area="west")]  # fmt: skip

    answer = judged_plan(district(*twins, capital=500, aim=least_money(target(0.3))))

    assert bought(answer) == [("lake", "tube")]


def test_a_target_out_of_reach_is_reached_as_far_as_it_goes():
    given = district(HILL, LAKE, capital=130, aim=least_money(target(1, area="west")))

    answer = judged_plan(given)

    # Of lake's 135 the tubes and the slides for 130 are 130; the strip would cost 20 more.
    assert [(each.share, each.reached) for each in answer.targets] == [(1, 130 / 135)]
    assert stages(answer)[0] == ("targets", pytest.approx(130 / 135), pytest.approx(130 / 135))
    assert answer.money.capital == 130


def test_earmarks_count_as_money_that_is_spent():
    models = [device_model("slide", serves("slide"), price=50, programmes=["few"])]
    given = district(
        HILL, capital=0, device_models=models, limits=limits(earmarks={"few": 100}),
        aim=least_money(target(0.05)),
    )  # fmt: skip

    answer = judged_plan(given)

    assert (answer.money.capital, answer.money.earmarks["few"]) == (0, 50)
    assert stages(answer) == [("targets", 1, 1), ("money", 50, 50), ("worth", 10, 10)]


FEW_IN_EAST = [
    site("hill", area="east", demand={"slide": 10}),
    site("lake", area="west", demand={"slide": 100, "tube": 100}),
]


def test_the_worst_off_area_is_raised_before_most_tests_are_done():
    # For 80 lake could do 100; but with one slide each, east has all it can attain (10) and
    # west 100 of the 200 that a plan for it alone would do with 130.
    given = district(*FEW_IN_EAST, capital=130, aim=worst_first())

    answer = judged_plan(given)

    assert bought(answer) == [("hill", "slide"), ("lake", "slide")] or bought(answer) == [
        ("hill", "slide"), ("lake", "tube")
    ]  # fmt: skip
    assert [(g.code, g.attainable, g.reached) for g in answer.groups] == [
        ("east", 10, 10), ("west", 200, 100)
    ]  # fmt: skip
    assert [(s.of, s.groups, round(s.reached, 6)) for s in answer.stages] == [
        ("worst_first", ("west",), 0.5),
        ("worst_first", ("east",), 1.0),
        ("worth", (), 110.0),
    ]


def test_without_raising_the_worst_off_more_tests_are_done():
    assert plan(district(*FEW_IN_EAST, capital=130), gap=0).objective == 200


def test_an_area_for_which_nothing_can_be_done_holds_nobody_back():
    stuck = site("hill", area="east", demand={"strip": 10})
    without = [method(code, code, need(code)) for code in ("slide", "tube")]
    given = district(
        stuck, FEW_IN_EAST[1], capital=130, methods=without, aim=worst_first(),
    )  # fmt: skip

    assert judged_plan(given).objective == 200


def test_levels_can_be_raised_in_place_of_areas():
    low, high = (each.model_copy(update={"level": n}) for n, each in enumerate(FEW_IN_EAST, 1))
    given = district(low, high, capital=130, aim=worst_first("levels"))

    assert [(g.code, g.reached) for g in judged_plan(given).groups] == [("1", 10), ("2", 100)]


def test_what_is_possible_today_asks_for_nothing():
    given = district(HILL, capital=500, minimum_sets=[BASICS], aim=least_money(target(1)))

    answer = today(given)

    assert verify(given, answer, floors=False) == []
    assert stages(answer) == [("worth", 0, 0)]


def test_a_plan_that_just_asks_for_most_has_one_stage():
    assert stages(judged_plan(district(HILL, capital=80))) == [("worth", 100, 100)]


ANSWER = district(
    HILL, LAKE, capital=100, minimum_sets=[BASICS], aim=least_money(target(0.1, area="west"))
)
FAIR = district(*FEW_IN_EAST, capital=130, aim=worst_first())


def tampered(given: Case, *steps: Any, to: Any) -> list[str]:
    document = judged_plan(given).to_json()
    *owner, last = steps
    part = document
    for step in owner:
        part = part[step]
    part[last] = to
    return [wrong.rule for wrong in verify(given, Result.read(json.dumps(document)))]


@pytest.mark.parametrize(
    ("given", "steps", "value", "rules"),
    [
        (ANSWER, ("stages", 0, "reached"), 3, ["stages", "stages", "stages"]),
        (ANSWER, ("stages", 2, "bound"), 80, ["stages", "stages"]),
        (ANSWER, ("stages", 2, "gap"), 0.5, ["stages"]),
        (ANSWER, ("stages", 2, "of"), "targets", ["stages", "stages", "stages", "stages"]),
        (ANSWER, ("stages",), [], ["stages"]),
        (ANSWER, ("minimum_sets", 0, "reached"), True, ["minimum-sets", "stages", "stages"]),
        (ANSWER, ("minimum_sets", 1, "share"), 0.5, ["minimum-sets"]),
        (ANSWER, ("minimum_sets", 1, "why"), "no", ["minimum-sets"]),
        (ANSWER, ("minimum_sets",), [], ["minimum-sets", "stages"]),
        (ANSWER, ("targets", 0, "reached"), 0.5, ["targets"]),
        (ANSWER, ("targets", 0, "share"), 0.2, ["targets"]),
        (ANSWER, ("targets",), [], ["targets", "stages"]),
        (FAIR, ("groups", 0, "reached"), 9, ["groups", "stages"]),
        (FAIR, ("groups", 0, "code"), "north", ["groups", "stages"]),
        (FAIR, ("groups",), [], ["stages"]),
        (FAIR, ("stages", 0, "reached"), 0.9, ["stages"]),
    ],
)
def test_what_a_result_says_of_its_aims_is_held_against_its_volumes(given, steps, value, rules):
    found = tampered(given, *steps, to=value)

    assert set(found) == set(rules)
    assert found


def test_what_is_told_while_earlier_aims_are_sought_is_no_figure_of_theirs():
    told: list[Progress] = []
    given = district(*FEW_IN_EAST, capital=130, aim=worst_first())

    plan(given, gap=0, progress=told.append)

    figures = [each.objective for each in told if each.objective is not None]
    assert all(value == pytest.approx(110) for value in figures)


@pytest.mark.parametrize(
    ("sought", "reached"),
    [(1, ["minimum_sets", "worth"]), (3, ["minimum_sets", "worth"])],
)
def test_a_run_that_is_cancelled_on_the_way_keeps_the_plan_of_the_aims_before(
    sought, reached, monkeypatch
):
    found = []

    def counted(*given: Any, **settings: Any) -> Answer:
        found.append(best_plan(*given, **settings))
        return found[-1]

    monkeypatch.setattr(securing, "best_plan", counted)
    monkeypatch.setattr(progress, "_SECONDS_BETWEEN_QUESTIONS", 0)
    given = district(*FEW_IN_EAST, capital=130, minimum_sets=[BASICS], aim=worst_first())

    answer = plan(given, gap=0, cancelled=lambda: len(found) >= sought)

    assert verify(given, answer) == []
    assert (answer.status, [stage.of for stage in answer.stages]) == ("feasible", reached)
    assert sum(pair.reached for pair in answer.minimum_sets) == 2
