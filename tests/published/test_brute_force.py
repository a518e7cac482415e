"""Small cases against every affordable set of actions, and against the plain statement.

Two independent answers: enumeration with ``scipy.optimize.linprog`` for the use of what
then stands there, and the eight constraints of the case format as they stand, solved by
``scipy.optimize.milp``.
"""

import math
from typing import Any

import pytest

from planner.engine.allocation import plan, today
from planner.engine.allocation.verify import verify
from tests.independent import statement
from tests.independent.answers import optimal_result
from tests.independent.enumeration import optimum_by_enumeration
from tests.independent.judged import GAP, best
from tests.independent.random_cases import crowded_case, random_case

SEEDS = range(200)
MOST_SETS_OF_ACTIONS = 600


def same(value: float) -> Any:
    return pytest.approx(value, rel=GAP, abs=GAP)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_is_worth_what_the_plain_statement_is_worth(seed):
    case = random_case(seed)

    assert best(case) == same(statement.optimum(case))


@pytest.mark.parametrize("seed", range(150))
def test_the_plan_for_a_crowded_district_is_worth_what_the_plain_statement_is_worth(seed):
    case = crowded_case(seed)

    assert best(case) == same(statement.optimum(case))


@pytest.mark.parametrize("seed", SEEDS)
def test_today_is_worth_what_the_plain_statement_without_actions_is_worth(seed):
    case = random_case(seed)
    expected = same(statement.optimum_before(case))

    answer = today(case)

    assert verify(case, answer, floors=False) == []
    assert (answer.actions, answer.objective, answer.objective_before) == ((), expected, expected)
    assert plan(case, gap=0.0).objective_before == expected


def test_enumeration_and_the_plain_statement_agree_wherever_enumeration_is_possible():
    compared = 0
    for seed in SEEDS:
        case = random_case(seed)
        try:
            enumerated = optimum_by_enumeration(case, at_most=MOST_SETS_OF_ACTIONS)
        except OverflowError:
            continue
        compared += 1
        assert enumerated == same(statement.optimum(case)), seed

    assert compared >= 120


def test_the_judge_accepts_the_optima_of_the_plain_statement():
    cases = [random_case(seed) for seed in SEEDS]
    feasible = [case for case in cases if statement.optimum(case) > -math.inf]

    assert [verify(case, optimal_result(case)) for case in feasible] == [[]] * len(feasible)


def test_the_random_cases_put_every_feature_to_use():
    cases = [random_case(seed) for seed in SEEDS]
    plans = [optimal_result(case) for case in cases if statement.optimum(case) > -math.inf]
    kinds = {action.kind for plan_ in plans for action in plan_.actions}

    assert kinds == {"buy", "repair", "train", "provide"}
    assert sum(any(v.origin != v.at for v in plan_.volumes) for plan_ in plans) >= 30
    assert sum(any(plan_.money.earmarks.values()) for plan_ in plans) >= 30
    assert sum(plan_.objective > plan_.objective_before + 1 for plan_ in plans) >= 90
    assert sum(any(area.floor for area in case.areas) for case in cases) >= 40
    assert 10 <= len(cases) - len(plans) <= 50
