"""What version 2 can ask, against the plain statement, the printed one and enumeration.

The first is solved by ``scipy.optimize.milp``, the second by CBC; the third tries every
affordable set of actions with ``scipy.optimize.linprog``.
"""

import math
from typing import Any

import pytest

from planner.engine.case import Case
from planner.engine.errors import InputError
from tests.engine.allocation.test_formulation import assert_same_optimum
from tests.independent import statement
from tests.independent.asking_cases import asking_case
from tests.independent.enumeration import optimum_by_enumeration
from tests.independent.judged import GAP, best

SEEDS = range(120)
MOST_SETS_OF_ACTIONS = 600


def same(value: float) -> Any:
    return pytest.approx(value, rel=GAP, abs=GAP)


def best_or_refused(case: Case) -> float:
    """The objective; minus infinity where limits or fixed actions exclude every plan."""
    try:
        return best(case)
    except InputError:
        return -math.inf


@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_is_worth_what_the_plain_statement_is_worth(seed):
    case = asking_case(seed)

    assert best_or_refused(case) == same(statement.optimum(case))


@pytest.mark.parametrize("seed", range(200, 240))
def test_the_tight_program_has_the_optimum_of_the_printed_statement(seed):
    assert_same_optimum(asking_case(seed))


def test_enumeration_and_the_plain_statement_agree_wherever_enumeration_is_possible():
    compared = 0
    for seed in SEEDS:
        case = asking_case(seed)
        try:
            enumerated = optimum_by_enumeration(case, at_most=MOST_SETS_OF_ACTIONS)
        except OverflowError:
            continue
        compared += 1
        assert enumerated == same(statement.optimum(case)), seed

    assert compared >= 60
