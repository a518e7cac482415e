"""What version 2 can ask, against the plain statement, the printed one and enumeration.

The first is solved by ``scipy.optimize.milp``, the second by CBC; the third tries every
affordable set of actions with ``scipy.optimize.linprog``.
"""

import json
import math
from typing import Any

import pytest

from planner.engine.case import Case
from planner.engine.errors import InputError
from tests.engine.allocation.test_formulation import assert_same_optimum
from tests.factories.versions import as_version_2
from tests.independent import statement
from tests.independent.asking_cases import asking_case
from tests.independent.enumeration import optimum_by_enumeration
from tests.independent.judged import GAP, best, judged_plan
from tests.independent.random_cases import random_case

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


@pytest.mark.parametrize("seed", range(20))
def test_a_case_means_the_same_in_either_version(seed):
    older = random_case(seed)
    newer = Case.read(json.dumps(as_version_2(older.to_json())))

    first, second = judged_plan(older), judged_plan(newer)

    assert (first.version, second.version) == (1, 2)
    own = {"version", "case_sha256", "seconds", "stages"}
    assert first.model_dump(exclude=own) == second.model_dump(exclude=own)
    assert first.stages == ()


def test_the_random_questions_put_every_feature_to_use():
    answers, refused = [], 0
    for seed in SEEDS:
        try:
            answers.append((asking_case(seed), judged_plan(asking_case(seed))))
        except InputError:
            refused += 1
    plans = [(case, answer) for case, answer in answers if answer.status == "optimal"]
    taken = [(case, action) for case, answer in plans for action in answer.actions]

    assert (len(plans) >= 70, refused >= 1) == (True, True)
    assert sum(action.kind == "move" for _, action in taken) >= 5
    assert sum(
        action.kind == "buy" and action.item in {bundle.model for bundle in case.bundles}
        for case, action in taken
    ) >= 5  # fmt: skip
    assert sum(
        action.kind == "repair"
        and any(m.code == action.item and 0 < m.repair_success < 1 for m in case.device_models)
        for case, action in taken
    ) >= 8  # fmt: skip
    assert sum(bool(case.limits.models_per_class) for case, _ in plans) >= 15
    assert sum(any(entry.at_least for entry in case.fixed) for case, _ in plans) >= 8
