"""The second example of ``planner/docs/case-format.md``, whose optimum is worked out by hand there.

Birch and cedar are posts, elm is the centre. Urine chemistry at both posts is a minimum set:
one idle reader moves from elm to cedar (30), birch buys one (120). At elm the microscope must
be repaired (100); it works with probability 0.8, so 800 of elm's 1000 malaria tests count. The
target is 0.7 of all malaria worth, 0.9 × 1900 = 1710, that is 1197. The repair gives 720. A new
microscope at elm (400 + 50) adds the other 200 tests, 180; at cedar, with training (450 + 90),
400 tests, 360; at birch, which has no power either (450 + 90 + 200), 450. Of 180, 360 and 450 the
cheapest that add 477 are 180 and 360: 990. In all 1240, for 0.9 × 1400 + 0.8 × 1100 = 2140.
"""

import pytest

from planner.engine.allocation import today
from planner.engine.allocation.explain import reasons
from planner.engine.allocation.verify import verify
from planner.engine.case import Case
from tests.factories.results import FIXTURES
from tests.independent.aims import optimum_in_stages
from tests.independent.judged import judged_plan

CASE = Case.read(FIXTURES / "cases" / "asking-more.json")


@pytest.mark.parametrize("solver", ["highs", "cbc"])
def test_the_plan_takes_the_actions_that_were_worked_out(solver):
    answer = judged_plan(CASE, solver=solver)

    assert [(a.site, a.kind, a.moved_from, a.item, a.quantity, a.cost) for a in answer.actions] == [
        ("birch", "buy", None, "reader", 1, 120),
        ("cedar", "buy", None, "micro", 1, 450),
        ("cedar", "train", None, "microscopy", 1, 90),
        ("elm", "buy", None, "micro", 1, 450),
        ("elm", "repair", None, "micro", 1, 100),
        ("cedar", "move", "elm", "reader", 1, 30),
    ]


def test_each_stage_reaches_and_proves_what_was_worked_out():
    answer = judged_plan(CASE)

    assert (answer.version, answer.status) == (2, "optimal")
    assert [(s.of, s.reached, s.bound) for s in answer.stages] == [
        ("minimum_sets", 2, 2),
        ("targets", 1, 1),
        ("money", pytest.approx(1240), pytest.approx(1240)),
        ("worth", pytest.approx(2140), pytest.approx(2140)),
    ]
    assert [(p.site, p.test, p.reached) for p in answer.minimum_sets] == [
        ("birch", "urine", True), ("cedar", "urine", True)
    ]  # fmt: skip
    assert [target.reached for target in answer.targets] == [pytest.approx(1260 / 1710)]


def test_money_and_running_cost_are_as_worked_out():
    # 600 of the microscopes from the earmark. A year: three microscopes 180, the new reader 20,
    # half of cedar's supervision 20, 1400 smears at 0.3 and 1100 strips at 0.5.
    money = judged_plan(CASE).money

    assert (money.capital, money.earmarks) == (640, {"malaria": 600})
    assert money.recurrent == pytest.approx(180 + 20 + 20 + 420 + 550)


def test_today_only_elm_tests_urine():
    answer = today(CASE)

    assert verify(CASE, answer, floors=False) == []
    assert answer.objective == judged_plan(CASE).objective_before == pytest.approx(0.8 * 600)


def test_the_reasons_say_what_was_asked_for_and_where_the_reader_comes_from():
    texts = [reason.text for reason in reasons(CASE, judged_plan(CASE))]

    assert texts[2].startswith("Belongs to Microscope, stains and first slides. Makes possible")
    assert texts[4].startswith("Asked for: at least 1. Makes possible here")
    assert texts[5].startswith("Brought from Elm health centre. Makes possible here")


def test_the_second_opinion_finds_the_same():
    assert optimum_in_stages(CASE) == pytest.approx([2, 1, 1240, 2140], rel=1e-5)
