"""The judge on what a result says about itself: gap, bound, and that there is no plan."""

from typing import Any

import pytest

from planner.engine.allocation.verify import Violation, verify
from planner.engine.case import Case, Result
from tests.factories import cases
from tests.factories.results import action, result, volume

# One site asks for 100 tests that need no more than it has, worth 1 apiece, and could be
# trained to do 50 of another. Its area's floor is two thirds of the 150.
FLOOR = 2 / 3


def district(*, floor: float = 0.0, capital: float = 10.0) -> Case:
    return cases.case(
        areas=[cases.area("empty"), cases.area(floor=floor)],
        skills=[cases.skill("spin", training_cost=10)],
        tests=[cases.lab_test("pcv"), cases.lab_test("urine")],
        methods=[cases.method("read", "pcv"), cases.method("spun", "urine", skills=["spin"])],
        sites=[cases.site(demand={"pcv": 100, "urine": 50})],
        limits=cases.limits(capital=capital),
    )


def half_used(case: Case, **given: Any) -> Result:
    volumes = (volume("hill", "hill", "read", 100.0),)
    values = {"objective": 100.0, "objective_before": 100.0, "volumes": volumes, **given}
    return result(case, **values)


def rules(violations: list[Violation]) -> list[str]:
    return [violation.rule for violation in violations]


@pytest.mark.parametrize(
    ("bound", "gap", "expected"),
    [
        (150.0, 0.5, []),
        (150.0, 0.5 + 2e-9, ["gap"]),
        (150.0, 0.5 - 2e-9, ["gap"]),
        (150.0, 50.0, ["gap"]),
        (99.0, -0.01, ["bound"]),
    ],
)
def test_the_gap_is_a_share_of_the_objective(bound, gap, expected):
    case = district()

    assert rules(verify(case, half_used(case, bound=bound, gap=gap))) == expected


@pytest.mark.parametrize(("gap", "expected"), [(5e9, []), (5e9 + 4, []), (5e9 + 6, ["gap"])])
def test_the_gap_of_a_plan_that_achieves_nothing_is_a_share_of_next_to_nothing(gap, expected):
    case = cases.case()

    assert rules(verify(case, result(case, bound=5.0, gap=gap))) == expected


def test_a_bound_below_what_the_district_does_today_is_refuted():
    case = district()

    answer = result(case, objective=0.0, bound=99.0, gap=99e9, objective_before=100.0)

    assert verify(case, answer) == [
        Violation("bound", "The bound is stated as 99, but 100 is reached.")
    ]


def test_with_a_floor_to_keep_a_plan_may_be_worth_less_than_today():
    case = district(floor=0.5)
    volumes = (volume("hill", "hill", "read", 80.0),)

    answer = half_used(case, objective=80.0, bound=80.0, volumes=volumes)

    # Today's 100 keeps the floor too, so it shows a bound of 80 to be wrong...
    assert rules(verify(case, answer)) == ["bound"]

    case = district(floor=0.8)
    answer = half_used(case, objective=80.0, bound=80.0, volumes=volumes)

    # ... and where it does not keep it, it shows nothing.
    assert rules(verify(case, answer)) == ["floor"]


@pytest.mark.parametrize(("floor", "expected"), [(FLOOR, []), (FLOOR + 1e-3, ["floor"])])
def test_the_floor_is_a_share_of_what_the_area_could_be_worth(floor, expected):
    case = district(floor=floor)

    assert rules(verify(case, half_used(case))) == expected


def infeasible(case: Case, *reasons: dict[str, Any], **given: Any) -> Result:
    nothing = {"objective": None, "bound": None, "gap": None, "status": "infeasible"}
    return result(case, **{"objective_before": 100.0, **nothing, "reasons": reasons, **given})


def reason(limit: str, stated: float, needed: float) -> dict[str, Any]:
    return {"limit": limit, "stated": stated, "needed": needed, "text": "raise it"}


def test_an_infeasible_result_with_true_reasons_is_accepted():
    case = district(floor=0.8, capital=9)

    answer = infeasible(
        case, reason("limits.capital", 9.0, 10.0), reason("areas.district.floor", 0.8, FLOOR)
    )

    assert verify(case, answer) == []


@pytest.mark.parametrize(
    "wrong",
    [
        reason("limits.capital", 8.0, 10.0),
        reason("limits.capital", 9.0, 9.0),
        reason("areas.district.floor", 0.8, 0.8),
        reason("limits.recurrent", 0.0, 9.0),
        reason("limits.patience", 1.0, 2.0),
    ],
    ids=["misquoted", "not relaxed", "floor not relaxed", "absent here", "no such limit"],
)
def test_a_reason_that_misquotes_the_case_is_refused(wrong):
    case = district(floor=0.8, capital=9)

    assert rules(verify(case, infeasible(case, wrong))) == ["reasons"]


@pytest.mark.parametrize(
    "given",
    [
        {"objective": 100.0},
        {"bound": 100.0},
        {"gap": 0.0},
        {"volumes": (volume("hill", "hill", "read", 100.0),)},
    ],
    ids=lambda given: next(iter(given)),
)
def test_an_infeasible_result_states_nothing_of_a_plan(given):
    case = district(floor=0.8, capital=9)

    answer = infeasible(case, reason("limits.capital", 9.0, 10.0), **given)

    assert rules(verify(case, answer)) == ["status"]


def test_an_infeasible_result_spends_nothing():
    case = district(floor=0.8, capital=9)
    capital = reason("limits.capital", 9.0, 10.0)
    spent = {"capital": 5.0, "recurrent": 0.0, "earmarks": {}}
    free = case.model_copy(update={"skills": (cases.skill("spin"),)})

    assert rules(verify(case, infeasible(case, capital, money=spent))) == ["payment", "status"]
    trained = (action("hill", "train", "spin"),)
    assert rules(verify(free, infeasible(free, capital, actions=trained))) == ["status"]


def test_a_claim_that_no_plan_exists_is_refuted_where_doing_nothing_is_one():
    case = district(floor=FLOOR, capital=9)

    answer = infeasible(case, reason("limits.capital", 9.0, 10.0))

    assert verify(case, answer) == [
        Violation(
            "status",
            "The status is infeasible, but without any action every limit and floor is kept.",
        )
    ]
