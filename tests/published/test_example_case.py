"""The example case of ``planner/docs/case-format.md``.

Outside value: objective 10 525.0, and 0.0 before any money is spent, found to a gap of 0
by a general-purpose solver from a formulation that shares no code with this project.
"""

import pytest

from planner.engine.allocation import today
from planner.engine.allocation.verify import verify
from tests.factories.results import three_sites
from tests.independent import statement
from tests.independent.judged import GAP, judged_plan

OPTIMUM = 10_525.0


@pytest.mark.parametrize("solver", ["highs", "cbc"])
def test_the_plan_reaches_the_optimum_and_proves_it(solver):
    answer = judged_plan(three_sites(), solver=solver)

    assert answer.status == "optimal"
    assert answer.objective == pytest.approx(OPTIMUM, rel=GAP)
    assert answer.bound == pytest.approx(OPTIMUM, rel=GAP)
    assert answer.objective_before == 0.0


def test_today_nothing_can_be_tested_for():
    case = three_sites()

    answer = today(case)

    assert verify(case, answer, floors=False) == []
    assert (answer.objective, answer.actions, answer.volumes) == (0.0, (), ())


def test_at_least_260_is_paid_from_the_malaria_earmark():
    answer = judged_plan(three_sites())

    cost = sum(action.cost for action in answer.actions)
    assert cost == answer.money.capital + answer.money.earmarks["malaria"]
    assert answer.money.earmarks["malaria"] >= cost - 1500


def test_the_second_opinion_finds_the_same():
    case = three_sites()

    assert statement.optimum(case) == pytest.approx(OPTIMUM)
    assert statement.optimum_before(case) == pytest.approx(0.0)
