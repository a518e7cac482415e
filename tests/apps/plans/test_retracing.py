"""An old plan computed again: the same to the last digit, or what differs."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from apps.coverage.models import Document
from apps.coverage.services import keep_document
from apps.plans.management.retracing import differences, retrace
from apps.plans.models import Run
from planner.engine.allocation import plan
from planner.engine.case import Case, Result
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district
from tests.factories.plans import make_plan, make_run

CASE = Case.read(Path("fixtures/cases/three-sites.json"))
KEPT = plan(CASE, gap=0.0, seconds=60)


def changed(**values) -> Result:
    return KEPT.model_copy(update=values)


def test_the_same_case_gives_the_same_plan_to_the_last_digit():
    found = retrace(CASE, KEPT, gap=0.0, seconds=60)

    assert (found.faults, found.differences, found.same) == ((), (), True)


def test_how_long_it_took_is_not_compared():
    assert list(differences(KEPT, changed(seconds=KEPT.seconds + 1))) == []


def test_another_figure_is_named_with_both_values():
    assert list(differences(KEPT, changed(objective=10_000.0))) == [
        "objective: kept 10525.0, now 10000.0"
    ]


def test_actions_that_are_new_gone_or_of_another_number_are_named():
    first, *rest = KEPT.actions
    more = first.model_copy(update={"quantity": first.quantity + 1})

    [gone] = differences(KEPT, changed(actions=tuple(rest)))
    [new] = differences(changed(actions=tuple(rest)), KEPT)
    [other] = differences(KEPT, changed(actions=(more, *rest)))

    name = f"actions: {first.site} {first.kind} {first.item}"
    assert gone.startswith(name)
    assert gone.endswith("now nothing")
    assert "kept nothing" in new
    assert f"quantity {first.quantity}," in other
    assert f"quantity {first.quantity + 1}," in other


def test_a_kept_result_that_breaks_a_rule_is_told_by_the_judge():
    found = retrace(CASE, changed(objective=99_999.0, bound=99_999.0), gap=0.0, seconds=60)

    assert found.faults
    assert not found.same


@pytest.fixture
def run(db) -> Run:
    row = make_plan(make_district("north"), make_person(), gap=0.0, time_limit_s=60)
    kept = {"case": keep_document(CASE.to_json()), "result": keep_document(KEPT.to_json())}
    return make_run(row, state="done", status="optimal", engine_version="0.1.0", **kept)


def test_the_command_says_that_it_is_the_same(run, capsys):
    call_command("retrace", str(run.pk))

    assert "The same: every action, volume and figure" in capsys.readouterr().out


def test_the_command_says_what_differs(run, capsys):
    other = keep_document({**KEPT.to_json(), "objective_before": 1.0})
    Run.objects.update(result=other)

    with pytest.raises(SystemExit) as stopped:
        call_command("retrace", str(run.pk))

    assert stopped.value.code == 1
    assert "Differs: objective_before: kept 1" in capsys.readouterr().err


def test_a_run_without_a_result_cannot_be_retraced(run):
    Run.objects.update(result=None)
    Document.objects.filter(pk=run.result_id).delete()

    with pytest.raises(CommandError, match="There is no run") as refused:
        call_command("retrace", str(run.pk))
    assert refused.value.returncode == 2
