"""The lines in which ``manage.py plan`` sums a result up."""

import json

import pytest

from apps.plans.management.summary import summary
from planner.engine.case import Case, Result
from tests.factories.documents import EXAMPLE_PATH, example

CASE = Case.read(EXAMPLE_PATH)
PLANNED = {
    "format": "benchward-result",
    "version": 1,
    "case_sha256": CASE.sha256(),
    "status": "optimal",
    "objective": 2295.25,
    "bound": 2300,
    "gap": 4.75 / 2295.25,
    "seconds": 0.1,
    "solver": "by hand",
    "money": {"capital": 125, "recurrent": 272.5, "earmarks": {"malaria": 120}},
    "actions": [
        {"site": "ashbrook", "kind": "buy", "item": "spin-hand", "quantity": 1, "cost": 45},
        {"site": "ashbrook", "kind": "train", "item": "spinning", "quantity": 1, "cost": 80},
        {"site": "millford", "kind": "repair", "item": "micro-led", "quantity": 1, "cost": 120},
    ],
    "volumes": [],
    "objective_before": 0,
    "reasons": [],
}


def lines(case=CASE, **changes) -> list[str]:
    return summary(case, Result.read(json.dumps({**PLANNED, **changes}))).splitlines()


def test_a_plan_is_summed_up_in_figures_and_actions():
    assert lines() == [
        "A best plan, proven to the gap asked for.",
        "objective  2,295.2 weighted correct tests a year; today 0.0",
        "bound      2,300.0, a gap of 0.2069%",
        "capital    125.00 of 1,500.00 USD",
        "earmark    120.00 of 400.00 USD, malaria",
        "recurrent  272.50 of 3,500.00 USD a year",
        "actions    3, which cost 245.00 USD",
        "  ashbrook  buy        1  spin-hand           45.00",
        "  ashbrook  train      1  spinning            80.00",
        "  millford  repair     1  micro-led          120.00",
    ]


def test_what_was_sought_first_and_is_not_reached_is_said():
    stage = {"of": "minimum_sets", "groups": [], "reached": 1, "bound": 2, "gap": 1}
    last = {"of": "worth", "groups": [], "reached": 0, "bound": 0, "gap": 0}
    pair = {"set": "basics", "site": "ashbrook", "test": "malaria", "share": 0.5}
    moved = PLANNED["actions"][0] | {"kind": "move", "moved_from": "millford"}

    told = lines(
        version=2,
        stages=[stage, last],
        minimum_sets=[pair | {"reached": False, "why": "No money is left."}],
        targets=[],
        groups=[],
        actions=[moved],
    )

    assert told[3:5] == [
        "minimum_sets 1, at most 2 proven",
        "not reached  malaria at ashbrook (50.0% done): No money is left.",
    ]
    assert told[-1] == "  ashbrook  move       1  spin-hand           45.00  from millford"


def test_a_limit_that_is_not_set_is_said_so():
    unlimited = Case.read(json.dumps(example((("limits", "recurrent"), None))))

    assert lines(unlimited)[5] == "recurrent  272.50 USD a year, no limit"


def test_a_plan_without_actions_ends_with_their_number():
    assert lines(actions=[])[-1] == "actions    0, which cost 0.00 USD"


@pytest.mark.parametrize(
    ("number", "last"),
    [
        (20, "  millford  buy        1  item-19            1.00"),
        (21, "  ... and 1 more, all of them in the result"),
        (300, "  ... and 280 more, all of them in the result"),
    ],
)
def test_the_first_twenty_actions_are_shown_and_the_others_counted(number, last):
    action = {"site": "millford", "kind": "buy", "quantity": 1, "cost": 1}
    shown = lines(actions=[{**action, "item": f"item-{count}"} for count in range(number)])

    assert shown[6] == f"actions    {number}, which cost {number}.00 USD"
    assert shown[-1] == last
    assert len(shown) == 7 + min(number, 21)


def test_where_no_plan_keeps_the_limits_each_reason_is_a_line():
    reason = {"limit": "capital", "stated": 0, "needed": 45, "text": "The capital is too small."}

    assert lines(
        status="infeasible", objective=None, bound=None, gap=None, actions=[], reasons=[reason]
    ) == [
        "No plan keeps the limits and floors of this case.",
        "today      0.0 weighted correct tests a year",
        "reason     The capital is too small.",
    ]
