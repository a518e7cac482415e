"""Figures many powers of ten apart: a plan within the limits or a refusal, never in between."""

import json
from pathlib import Path

import pytest

from planner.engine.allocation import plan
from planner.engine.allocation.verify import verify
from planner.engine.case import Case
from planner.engine.errors import EngineError

THREE_SITES = Path("fixtures/cases/three-sites.json")


def with_methods(**changes):
    """The example with figures of some methods changed, by the method's place in the list."""
    values = json.loads(THREE_SITES.read_text(encoding="utf-8"))
    for place, change in changes.items():
        values["methods"][int(place.removeprefix("at_"))] |= change
    return Case.read(json.dumps(values))


def test_volumes_are_not_rounded_up_over_the_staff_hours():
    case = with_methods(at_3={"staff_hours": 10_000})

    result = plan(case)

    assert verify(case, result) == []
    assert result.status == "optimal"


def test_a_plan_that_the_solvers_arithmetic_cannot_keep_in_its_limits_is_refused():
    case = with_methods(at_1={"consumable_cost": 1e8}, at_5={"consumable_cost": 7})

    with pytest.raises(EngineError) as refusal:
        plan(case)

    assert " ".join(refusal.value.problem.split()) == (
        "The plan that was found breaks a rule. The service costs 3 520 a year, the limit is 3 500."
    )
    assert "in the wrong unit" in refusal.value.remedy


def test_a_figure_beyond_computing_is_refused():
    needs = [{"class": "centrifuge", "require": {}, "hours": 1e100}]
    case = with_methods(at_1={"needs": needs})

    with pytest.raises(EngineError) as refusal:
        plan(case)

    assert refusal.value.problem.startswith("A figure of the case is beyond what can be computed")
