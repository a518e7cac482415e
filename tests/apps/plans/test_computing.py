"""From a waiting run to its answer, and every way in which there may be none."""

import json
import logging

import pytest
from django.db import connection

from apps.audit.models import Entry
from apps.coverage.models import Document
from apps.coverage.selectors import read_document
from apps.facilities.models import Facility
from apps.plans.models import Run
from apps.plans.services import computing
from planner.engine.allocation import Progress
from planner.engine.allocation import plan as best_plan
from planner.engine.allocation.verify import Violation, verify
from planner.engine.case import Case, Result
from planner.settings import VERSION
from tests.apps.coverage.district import make_left_out
from tests.apps.plans.optimising import computed, instead_of_planning
from tests.factories.plans import make_run


def test_a_run_ends_with_its_figures_lines_and_documents(run):
    # Hill runs it today for 500 of 1,500; ford or mill can be equipped, and both ask for 500.
    computed(run)

    assert (run.state, run.status, run.message, run.phase) == ("done", "optimal", "", "")
    assert (run.objective_before, run.objective) == pytest.approx((712.5, 1425))
    assert run.bound >= run.objective
    assert run.gap == 0
    assert run.engine_version == VERSION
    assert run.started_at <= run.heartbeat_at <= run.finished_at
    lines = list(run.lines.values_list("kind", "item_code", "item_name", "quantity", "cost"))
    assert lines == [
        ("buy", "spinner", "Spinner", 1, 900),
        ("provide", "water", "Running water", 1, 500),
        ("train", "staining", "Staining", 1, 200.5),
    ]
    assert {line.tests_per_year for line in run.lines.all()} == {500.0}
    assert len({line.facility for line in run.lines.all()}) == 1
    assert all(line.reason.startswith("Makes possible here") for line in run.lines.all())


def test_the_summary_says_money_coverage_actions_and_who_was_left_out(run, small):
    make_left_out(small)

    summary = computed(run).summary

    # What is told beside the plan has tests of its own.
    beside = (
        "sites", "people", "fifths", "remaining", "running", "asked", "funds", "frontier",
        "baselines",
    )  # fmt: skip
    assert [name for name in beside if name not in summary] == []
    for name in ("solve_seconds", *beside):
        del summary[name]
    change = {"before": 1 / 3, "after": 2 / 3}
    assert summary == {
        "money": {
            "capital": 1600.5,
            # Upkeep and supervision of what is new, and supplies of all 1,000 tests.
            "recurrent": 50 + 30 + 1000 * 0.25,
            "earmarks": {},
            "limits": {
                "capital": 1700.0,
                "recurrent": None,
                "trainer_days": None,
                "earmarks": {},
            },
        },
        "coverage": {
            "before": {
                "tests_met_share": 1 / 3, "weighted_share": 1 / 3, "demand": 1500, "met": 500,
            },
            "after": {
                "tests_met_share": 2 / 3, "weighted_share": 2 / 3, "demand": 1500, "met": 1000,
            },
            "areas": [{"code": "upper", "name": "Upper block", **change}],
            "programmes": [
                {"code": "general", "name": "General", **change},
                {"code": "maternal", "name": "Maternal", "before": 0, "after": 0},
            ],
        },
        "left_out": [
            {"facility": "blank", "why": "Ask how many people live in the catchment of Blank"},
            {"facility": "idle", "why": "Ask how many staff hours a year Idle can give to testing"},
        ],
        "routes_left_out": [
            {
                "facility": "ford",
                "why": "Its route to blank is left out: that facility is closed, lies in another"
                " district, or is left out itself",
            }
        ],
        "actions": {"buy": 1, "repair": 0, "train": 1, "provide": 1},
    }  # fmt: skip


def test_anybody_can_check_the_kept_result_against_the_kept_case(run):
    computed(run)

    case = Case.read(read_document(run.case_id))
    result = Result.read(read_document(run.result_id))
    assert verify(case, result) == []
    assert case.title == run.plan.title
    assert (case.sha256(), result.case_sha256) == (run.case_id, run.case_id)


def test_the_limits_of_the_plan_are_those_of_the_case(run, small):
    plan = run.plan
    plan.earmarks.create(programme=small.spinner.programmes.get(), amount=250)
    plan.floors.create(area=small.upper, share=0.5)
    type(plan).objects.filter(pk=plan.pk).update(
        recurrent=900, trainer_days=4, max_units=1, minimum_evidence="C"
    )

    computed(run)

    case = json.loads(read_document(run.case_id))
    assert case["limits"] == {
        "capital": 1700, "earmarks": {"maternal": 250}, "recurrent": 900, "trainer_days": 4,
        "max_units": 1, "supervised_share": 1, "models_per_class": {},
    }  # fmt: skip
    assert (case["minimum_evidence"], case["areas"][0]["floor"]) == ("C", 0.5)


def test_the_end_of_a_run_is_recorded(run, planner):
    computed(run)

    [entry] = Entry.objects.all()
    assert (entry.by, entry.action, entry.object_key) == (planner, "run.done", str(run.pk))
    assert entry.after == {"case": run.case_id, "result": run.result_id, "status": "optimal"}


def test_limits_that_exclude_every_plan_are_an_answer_with_what_would_do(run, small):
    run.plan.floors.create(area=small.upper, share=0.9)

    computed(run)

    assert (run.state, run.status) == ("done", "infeasible")
    assert (run.objective, run.bound, run.gap) == (None, None, None)
    assert run.summary["relax"]
    assert run.summary["coverage"]["after"] == run.summary["coverage"]["before"]
    assert not run.lines.exists()


def test_progress_is_told_as_it_is_made_and_no_transaction_is_open_meanwhile(run, monkeypatch):
    seen = {}

    def then(case, progress, cancelled):
        progress(Progress("search", 1.0, 900.0, 1000.0, 0.1111))
        seen.update(Run.objects.values("state", "phase", "objective", "bound", "gap").get())
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    computed(run)

    assert seen == {
        "state": "running",
        "phase": "looking for better plans",
        "objective": 900.0,
        "bound": 1000.0,
        "gap": 0.1111,
    }


@pytest.mark.django_db(transaction=True)
def test_no_transaction_is_open_while_the_solver_works(run, monkeypatch):
    open_then = []

    def then(case, progress, cancelled):
        open_then.append(connection.in_atomic_block)
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    assert computed(run).state == "done"
    assert open_then == [False]


def test_a_plan_that_the_judge_refuses_fails_and_nothing_of_it_is_kept(run, monkeypatch):
    def then(case, progress, cancelled):
        result = best_plan(case)
        return result.model_copy(update={"actions": result.actions[1:]})

    instead_of_planning(monkeypatch, then)

    computed(run)

    assert run.state == "failed"
    assert run.message.startswith("The plan that was found breaks a rule, so it is not shown: ")
    assert run.message.endswith(f"Tell whoever runs the service: run {run.pk}, rule device.")
    assert (run.result, run.summary, run.lines.count()) == (None, {}, 0)
    assert not Document.objects.exists()


def test_what_can_be_done_today_is_judged_too(run, monkeypatch):
    def judge(case, result, *, floors=True):
        return [] if floors else [Violation("demand", "Too much is done today.")]

    monkeypatch.setattr(computing, "verify", judge)

    assert computed(run).message.startswith(
        "The plan that was found breaks a rule, so it is not shown: Too much is done today."
    )


def test_a_problem_of_the_data_fails_the_run_with_its_remedy(run):
    Facility.objects.update(population=None)

    computed(run)

    assert (run.state, run.message) == (
        "failed",
        "No facility of North has both its population and its testing hours."
        " Enter them for at least one facility, then try again.",
    )


def test_a_fault_of_ours_fails_the_run_in_plain_words_and_is_logged(run, monkeypatch, caplog):
    def then(case, progress, cancelled):
        raise ZeroDivisionError("a secret detail")

    instead_of_planning(monkeypatch, then)

    with caplog.at_level(logging.ERROR, logger=computing.__name__):
        computed(run)

    assert run.state == "failed"
    assert run.message.startswith(
        "Something went wrong on our side; nothing was changed. Start the run again. If it fails"
        f" again, tell whoever runs the service: run {run.pk}, "
    )
    assert "secret" not in run.message
    [logged] = caplog.records
    assert "ZeroDivisionError: a secret detail" in caplog.text
    assert logged.getMessage() == f"Run {run.pk} failed"


def test_an_answer_is_kept_whole_or_not_at_all(run, monkeypatch):
    def break_off(*args):
        raise ZeroDivisionError

    monkeypatch.setattr(computing, "lines", break_off)

    computed(run)

    assert (run.state, run.result) == ("failed", None)
    assert not Document.objects.exists()


def test_the_same_register_gives_the_same_case_and_the_same_plan(run, plan):
    first, second = computed(run), computed(make_run(plan))

    assert first.case_id == second.case_id
    assert [line.cost for line in first.lines.all()] == [line.cost for line in second.lines.all()]
