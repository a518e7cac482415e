"""Bundles, moves and few models of a class, on cases whose optimum is plain arithmetic."""

from typing import Any

import pytest

from planner.engine.allocation import plan
from planner.engine.allocation.explain import reasons
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.errors import InputError
from tests.factories.cases import (
    bundle,
    case,
    device_model,
    fixed,
    infrastructure,
    lab_test,
    limits,
    method,
    move,
    need,
    serves,
    site,
    skill,
    stock,
)
from tests.factories.results import action, result, volume
from tests.independent.judged import best, judged_plan


def spinner(code: str = "spinner", **given: Any):
    role = serves("centrifuge")
    return device_model(code, role, **{"price": 50, "hours_per_year": 10, **given})


def sites(*asked: tuple[str, float], **given: Any) -> Case:
    """Tests of 1 machine hour are asked for at each site; a spinner costs 50 and has 10 h."""
    lists = {
        "tests": [lab_test("pcv")],
        "methods": [method("spin", "pcv", need("centrifuge", hours=1))],
        "device_models": [spinner()],
        "skills": [skill("spinning", training_cost=30)],
        "infrastructure": [infrastructure("power", cost={"1": 15})],
        "sites": [site(code, demand={"pcv": per_year}) for code, per_year in asked],
        "limits": limits(capital=1000, max_units=4),
    }
    return case(**{**lists, **given})


def taken(answer: Result) -> list[tuple[str, str, str | None, str, int]]:
    return [(a.site, a.kind, a.moved_from, a.item, a.quantity) for a in answer.actions]


WHOLE = bundle("spinner", skills=["spinning"], infrastructure=["power"], cost=5)


@pytest.mark.parametrize(("capital", "tests"), [(99.99, 0), (100, 10), (154.99, 10), (155, 20)])
def test_a_bundle_is_bought_whole_and_its_cost_with_each_unit(capital, tests):
    # The first unit costs 50 + 5 and the 30 and 15 of what the site lacks, each further one 55.
    given = sites(("hill", 100), bundles=[WHOLE], limits=limits(capital=capital, max_units=4))

    assert best(given) == tests


def test_what_the_site_has_of_a_bundle_is_not_given_again():
    has_power = site("hill", demand={"pcv": 100}, infrastructure=["power"])
    given = sites(sites=[has_power], bundles=[WHOLE], limits=limits(capital=85, max_units=1))

    answer = judged_plan(given)

    assert taken(answer) == [
        ("hill", "buy", None, "spinner", 1), ("hill", "train", None, "spinning", 1)
    ]  # fmt: skip
    assert [reason.text for reason in reasons(given, answer)] == [
        "Makes possible here: pcv, 10 a year. For 0 people.",
        "Belongs to All for spinner. No test of this plan needs it.",
    ]


def test_a_model_whose_bundle_cannot_be_given_is_not_bought():
    beyond = site("hill", level=2, demand={"pcv": 100})

    assert best(sites(sites=[beyond], bundles=[WHOLE])) == 0


def test_a_cheaper_model_whose_bundle_asks_for_more_does_not_push_out_the_other():
    given = sites(
        ("hill", 10),
        device_models=[spinner("cheap", price=40), spinner("plain", price=60)],
        bundles=[bundle("cheap", skills=["spinning"])],
        limits=limits(capital=60),
    )

    assert best(given) == 10


def test_a_broken_unit_is_repaired_without_its_bundle():
    given = sites(
        ("hill", 10), bundles=[WHOLE], stock=[stock("hill", "spinner", broken=1)], limits=limits()
    )

    assert best(given) == 10


def test_the_judge_refuses_a_bundle_that_is_not_whole():
    given = sites(("hill", 10), bundles=[bundle("spinner", skills=["spinning"], cost=5)])
    bought = action("hill", "buy", "spinner", cost=55.0)
    claimed = result(
        given, actions=(bought,), money={"capital": 55.0, "recurrent": 0.0, "earmarks": {}}
    )

    assert [(wrong.rule, wrong.text) for wrong in verify(given, claimed)] == [
        ("bundle", "buy spinner at hill: the site lacks spinning of the bundle spinner.")
    ]


IDLE = [stock("hill", "spinner", working=1)]


@pytest.mark.parametrize(("capital", "tests"), [(11.99, 0), (12, 10)])
def test_an_idle_unit_is_moved_to_where_it_serves_if_capital_pays_for_that(capital, tests):
    given = sites(
        ("hill", 0), ("lake", 100), stock=IDLE, limits=limits(capital=capital),
        moves=[move("hill", "lake", "spinner", cost=12)],
    )  # fmt: skip

    assert best(given) == tests


@pytest.mark.parametrize(("at_hill", "tests", "moved"), [(4, 10, True), (10, 10, False)])
def test_a_unit_that_is_moved_serves_no_longer_where_it_was(at_hill, tests, moved):
    given = sites(
        ("hill", at_hill), ("lake", 100), stock=IDLE, limits=limits(),
        moves=[move("hill", "lake", "spinner")],
    )  # fmt: skip

    answer = judged_plan(given)

    assert answer.objective == tests
    assert bool(answer.actions) == moved


def test_the_unit_goes_where_most_is_asked_for_and_the_reason_says_whence():
    given = sites(
        ("hill", 1), ("lake", 3), ("mill", 9), stock=IDLE, limits=limits(),
        moves=[move("hill", "lake", "spinner"), move("hill", "mill", "spinner")],
    )  # fmt: skip

    answer = judged_plan(given)

    assert taken(answer) == [("mill", "move", "hill", "spinner", 1)]
    [reason] = reasons(given, answer)
    assert reason.text == ("Brought from hill. Makes possible here: pcv, 9 a year. For 0 people.")
    assert (answer.objective_before, answer.version) == (1, 2)


def test_a_move_is_paid_from_capital_never_from_an_earmark():
    given = sites(
        ("hill", 0), ("lake", 9), stock=IDLE,
        device_models=[spinner(programmes=["general"], max_units=0)],
        moves=[move("hill", "lake", "spinner", cost=12)],
        limits=limits(earmarks={"general": 100}),
    )  # fmt: skip

    assert best(given) == 0


def moved(quantity: int, **given: Any) -> tuple[Case, Result]:
    built = sites(
        ("hill", 0), ("lake", 9), stock=[stock("hill", "spinner", working=2)],
        moves=[move("hill", "lake", "spinner", **given)],
    )  # fmt: skip
    brought = action("lake", "move", "spinner", quantity=quantity) | {"moved_from": "hill"}
    return built, result(built, actions=(brought,))


@pytest.mark.parametrize(
    ("built", "texts"),
    [
        (moved(2, units=2), []),
        (moved(2, units=1),
         ["move spinner from hill to lake: 2 is more than the 1 offered."]),
        (moved(3, units=3),
         ["3 units of spinner are moved away from hill, 2 work there."]),
    ],
)  # fmt: skip
def test_the_judge_refuses_moves_beyond_what_is_offered_or_there(built, texts):
    assert [wrong.text for wrong in verify(*built)] == texts


def test_the_judge_refuses_moves_that_nobody_offered_and_tests_of_a_unit_that_has_left():
    given = sites(("hill", 9), ("lake", 9), stock=IDLE, moves=[move("hill", "lake", "spinner")])
    away = action("lake", "move", "spinner") | {"moved_from": "hill"}
    back = action("hill", "move", "spinner") | {"moved_from": "lake"}
    bought = action("lake", "buy", "spinner", cost=50.0) | {"moved_from": "hill"}
    done = {
        "objective": 9.0,
        "objective_before": 9.0,
        "volumes": (volume("hill", "hill", "spin", 9),),
    }
    paid = {"money": {"capital": 50.0, "recurrent": 0.0, "earmarks": {}}, "objective_before": 9.0}

    def rules(**claimed: Any) -> list[str]:
        return [wrong.rule for wrong in verify(given, result(given, **claimed))]

    assert rules(actions=(away,), **done) == ["device"]
    assert rules(actions=(back,), **done) == ["move", "move"]
    assert rules(actions=(bought,), **paid, objective=0.0, bound=9.0) == ["move", "gap"]


@pytest.mark.parametrize(("most", "tests"), [(2, 20), (1, 10), (0, 0)])
def test_of_a_class_only_so_many_models_are_bought_in_the_district(most, tests):
    # Only one model is good enough for each site, and no model for both.
    roles = {"low": {"reach": 1}, "high": {"reach": 2}}
    methods = [
        method(code, test, need("centrifuge", hours=1, reach={"is": reach}))
        for code, test, reach in (("one", "pcv", 1), ("two", "film", 2))
    ]
    given = sites(
        tests=[lab_test("pcv"), lab_test("film")],
        methods=methods,
        device_models=[
            device_model(code, serves("centrifuge", **specs), price=50, hours_per_year=10)
            for code, specs in roles.items()
        ],
        sites=[site("hill", demand={"pcv": 10}), site("lake", demand={"film": 10})],
        limits=limits(capital=1000, models_per_class={"centrifuge": most}),
    )

    assert best(given) == tests


def test_a_cheaper_model_does_not_push_out_one_that_is_bought_anyway():
    """Wood needs the strong model; with one model only, hill gets the strong one too."""
    methods = [
        method("weak", "pcv", need("centrifuge")),
        method("strong", "film", need("centrifuge", reach={"min": 2})),
    ]
    models = [
        device_model("cheap", serves("centrifuge", reach=1), price=40),
        device_model("dear", serves("centrifuge", reach=2), price=50),
    ]
    given = sites(
        tests=[lab_test("pcv"), lab_test("film")],
        methods=methods,
        device_models=models,
        sites=[site("hill", demand={"pcv": 10}), site("wood", demand={"film": 10})],
        limits=limits(capital=100, models_per_class={"centrifuge": 1}),
    )

    assert taken(judged_plan(given)) == [
        ("hill", "buy", None, "dear", 1), ("wood", "buy", None, "dear", 1)
    ]  # fmt: skip


def test_the_judge_refuses_more_models_of_a_class_than_are_allowed():
    models = [spinner("one", price=0), spinner("two", price=0)]
    given = sites(
        ("hill", 1), device_models=models, limits=limits(models_per_class={"centrifuge": 1})
    )
    bought = tuple(action("hill", "buy", code) for code in ("one", "two"))

    assert [wrong.text for wrong in verify(given, result(given, actions=bought))] == [
        "2 models of class centrifuge are bought (one, two), the limit is 1."
    ]


def test_models_that_must_be_bought_and_may_not_be_are_refused_with_their_place():
    given = sites(
        ("hill", 1),
        device_models=[spinner("one"), spinner("two")],
        fixed=[fixed("hill", "buy", code, at_least=1) for code in ("one", "two")],
        limits=limits(capital=1000, models_per_class={"centrifuge": 1}),
    )

    with pytest.raises(InputError) as refused:
        plan(given)

    assert refused.value.problems == (
        "limits.models_per_class.centrifuge: 1 is fewer than the models that must be bought "
        "(one, two)",
    )
