"""Whose plans and runs somebody sees, and with what they come."""

import pytest

from apps.plans.models import Plan, Run
from apps.plans.selectors import latest_run, lines_of, plan_for, plans_for, run_for, runs_for
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district
from tests.factories.plans import make_plan, make_run


@pytest.fixture
def stranger(db):
    stranger = make_person("stranger", role="planner")
    stranger.stewardships.create(area=make_district("south"))
    return stranger


def test_plans_and_runs_are_seen_by_those_who_answer_for_the_district(plan, planner, stranger):
    run = make_run(plan)

    assert (list(plans_for(planner)), list(runs_for(planner))) == ([plan], [run])
    assert (plan_for(planner, plan.pk), run_for(planner, run.pk)) == (plan, run)
    assert (list(plans_for(stranger)), list(runs_for(stranger))) == ([], [])
    with pytest.raises(Plan.DoesNotExist):
        plan_for(stranger, plan.pk)
    with pytest.raises(Run.DoesNotExist):
        run_for(stranger, run.pk)


def test_somebody_who_answers_for_one_block_does_not_see_the_plans_of_the_district(plan, small):
    steward = make_person("steward", role="planner")
    steward.stewardships.create(area=small.upper)

    assert list(plans_for(steward)) == []


def test_the_latest_run_is_the_newest_and_none_before_the_first(plan, planner):
    assert latest_run(plan) is None

    make_run(plan, "done")
    newest = make_run(plan)

    assert latest_run(plan) == newest
    assert latest_run(plan_for(planner, plan.pk)) == newest


def test_lines_come_by_area_and_site(plan, small):
    run = make_run(plan)
    for site in (small.mill, small.ford):
        for kind in ("train", "buy"):
            run.lines.create(facility=site, kind=kind, item_code="x", quantity=1, cost=1)

    assert [(line.facility.code, line.kind) for line in lines_of(run)] == [
        ("ford", "buy"), ("ford", "train"), ("mill", "buy"), ("mill", "train"),
    ]  # fmt: skip


@pytest.mark.parametrize("count", [1, 3])
def test_a_list_of_plans_takes_three_queries_however_many_there_are(
    small, planner, django_assert_num_queries, count
):
    for number in range(count):
        make_run(make_plan(small.north, planner, title=f"Plan {number}"))

    with django_assert_num_queries(3):
        rows = [
            (plan.area.name, plan.made_by.username, latest_run(plan).asked_by.username)
            for plan in plans_for(planner)
        ]

    assert len(rows) == count
