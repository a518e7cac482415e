"""What version 2 can aim at, against the plain statement solved aim by aim.

Minimum sets, targets at least money and the worst-off first are sought one after the other;
``scipy.optimize.milp`` solves the independent statement in the same order.
"""

import math

import pulp
import pytest
from pulp.apis.coin_api import COIN_CMD, pulp_cbc_path

from planner.engine.allocation.formulation import (
    money_spent,
    pairs_reached,
    stated,
    targets_met,
)
from planner.engine.asking import LeastMoney
from planner.engine.case import Case, Result
from planner.engine.errors import InputError
from tests.independent.aims import optimum_in_stages
from tests.independent.asking_cases import aiming_case
from tests.independent.judged import judged_plan

SEEDS = range(80)


def stages_or_nothing(case: Case) -> list[float]:
    """What each stage reaches, a share once for each group; empty where nothing can be."""
    try:
        answer = judged_plan(case)
    except InputError:
        return []
    assert answer.status in ("optimal", "infeasible")
    return [
        stage.reached
        for stage in answer.stages
        for _ in (stage.groups if stage.of == "worst_first" else (None,))
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_each_stage_reaches_what_the_plain_statement_reaches(seed):
    case = aiming_case(seed)

    expected = optimum_in_stages(case)

    assert stages_or_nothing(case) == pytest.approx(expected, rel=2e-6, abs=2e-6)


def test_the_random_aims_are_many_and_often_hard_to_reach():
    answers = [plan for seed in SEEDS if (plan := planned_or_none(aiming_case(seed)))]
    stages = [stage for answer in answers for stage in answer.stages]
    pairs = [pair for answer in answers for pair in answer.minimum_sets]

    assert {stage.of for stage in stages} == {
        "minimum_sets", "targets", "money", "worst_first", "worth"
    }  # fmt: skip
    assert sum(pair.reached for pair in pairs) >= 30
    assert sum(not pair.reached for pair in pairs) >= 30
    assert sum(stage.of == "money" and stage.reached > 0 for stage in stages) >= 5
    assert sum(stage.of == "targets" and stage.reached % 1 > 1e-6 for stage in stages) >= 5
    assert all(math.isfinite(stage.gap) for stage in stages)


def planned_or_none(case: Case) -> Result | None:
    try:
        answer = judged_plan(case)
    except InputError:
        return None
    return None if answer.status == "infeasible" else answer


def printed_in_stages(case: Case) -> list[float]:
    """The printed statement solved aim by aim, by CBC."""
    written, reached = stated(case), []
    worth = written.problem.objective

    def seek(terms: pulp.LpAffineExpression, sign: int = 1) -> None:
        written.problem.setObjective(sign * terms)
        written.problem.solve(COIN_CMD(path=pulp_cbc_path, msg=False, gapRel=0))
        assert written.problem.sol_status == pulp.LpSolutionOptimal
        value = pulp.value(terms) or 0.0
        written.problem += sign * terms >= sign * value - 1e-6 * max(1, abs(value))
        reached.append(value)

    if written.reached.variables:
        seek(pairs_reached(written))
    if isinstance(case.aim, LeastMoney):
        seek(targets_met(written))
        seek(money_spent(written), -1)
    seek(worth)
    return reached


PRINTED = [
    seed for seed in range(100, 160)
    if aiming_case(seed).aim.kind != "worst_first"
    and optimum_in_stages(aiming_case(seed))
][:20]  # fmt: skip


@pytest.mark.parametrize("seed", PRINTED)
def test_each_stage_reaches_what_the_printed_statement_reaches(seed):
    case = aiming_case(seed)

    assert stages_or_nothing(case) == pytest.approx(printed_in_stages(case), rel=2e-6, abs=2e-6)
