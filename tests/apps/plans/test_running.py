"""The states of a run, and who may bring it from one to the next."""

import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from apps.audit.models import Entry
from apps.plans.choices import RunState
from apps.plans.models import Run
from apps.plans.services import beat, cancel_run, compute_run, mark_interrupted, start_run
from tests.factories.accounts import make_person
from tests.factories.plans import make_run

FINISHED = ("done", "failed", "cancelled", "interrupted")
pytestmark = pytest.mark.usefixtures("tasks_wait")


def actions() -> list[str]:
    return [entry.action for entry in Entry.objects.order_by("pk")]


def test_a_started_run_waits_for_a_worker_and_is_recorded(
    plan, planner, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as queued:
        run = start_run(plan=plan, by=planner)

    assert (run.state, run.plan, run.asked_by) == ("queued", plan, planner)
    assert len(queued) == 1
    assert actions() == ["run.started"]


@pytest.mark.parametrize("state", ["queued", "running"])
def test_a_plan_has_one_unfinished_run_at_a_time(plan, planner, state):
    make_run(plan, state)

    with pytest.raises(ValidationError) as refusal:
        start_run(plan=plan, by=planner)

    assert refusal.value.messages == [
        "This plan is being computed already. Wait for it, or cancel it, then start again."
    ]
    assert Run.objects.count() == 1


@pytest.mark.parametrize("state", FINISHED)
def test_a_plan_is_computed_again_after_a_run_that_is_over(plan, planner, state):
    make_run(plan, state)

    assert start_run(plan=plan, by=planner).state == "queued"


def test_a_waiting_run_is_cancelled_at_once(plan, planner):
    run = cancel_run(run=make_run(plan), by=planner)

    run.refresh_from_db()
    assert (run.state, run.finished_at is not None) == ("cancelled", True)
    assert actions() == ["run.cancelled"]


def test_a_running_run_is_asked_to_stop_and_that_is_recorded_once(plan, planner):
    run = make_run(plan, "running")

    for _ in range(2):
        run = cancel_run(run=run, by=planner)

    run.refresh_from_db()
    assert (run.state, run.cancel_requested) == ("running", True)
    assert actions() == ["run.cancel-requested"]


@pytest.mark.parametrize("state", FINISHED)
def test_a_run_that_is_over_stays_as_it_is(plan, planner, state):
    run = cancel_run(run=make_run(plan, state), by=planner)

    run.refresh_from_db()
    assert (run.state, run.cancel_requested) == (state, False)
    assert actions() == []


def test_the_answer_to_a_cancellation_is_the_run_as_it_is_now(plan, planner):
    stale = make_run(plan)
    Run.objects.update(state="running")

    run = cancel_run(run=stale, by=planner)

    assert (run.state, run.cancel_requested) == ("running", True)


@pytest.mark.parametrize("role", ["in_charge", "auditor"])
@pytest.mark.parametrize("deed", [start_run, cancel_run], ids=lambda deed: deed.__name__)
def test_somebody_who_may_not_starts_and_cancels_nothing(plan, role, deed):
    thing = {"plan": plan} if deed is start_run else {"run": make_run(plan)}

    with pytest.raises(PermissionDenied):
        deed(**thing, by=make_person(role=role))

    assert list(Run.objects.values_list("state", flat=True)) in ([], ["queued"])


@pytest.mark.parametrize(
    ("age_s", "state"), [(59, "running"), (61, "interrupted")]
)  # fmt: skip
def test_a_run_without_a_sign_of_life_for_a_minute_is_lost(plan, settings, age_s, state):
    settings.RUN_LOST_AFTER_SECONDS = 60
    beaten = timezone.now() - dt.timedelta(seconds=age_s)
    run = make_run(plan, "running", heartbeat_at=beaten)

    count = mark_interrupted()

    run.refresh_from_db()
    assert (count, run.state) == (int(state == "interrupted"), state)


def test_a_lost_run_says_when_it_was_last_heard_of_and_what_to_do(plan):
    beaten = dt.datetime(2026, 1, 15, 12, 3, 4, tzinfo=dt.UTC)
    run = make_run(plan, "running", heartbeat_at=beaten)

    mark_interrupted()

    run.refresh_from_db()
    assert run.message == (
        "The computation stopped without an answer: the last sign of life was at 12:03:04 UTC on"
        " 2026-01-15. Its worker was ended, or the machine lost power. Start the run again."
    )
    assert run.finished_at is not None
    assert [(entry.action, entry.by) for entry in Entry.objects.all()] == [
        ("run.interrupted", None)
    ]


@pytest.mark.parametrize("state", ["queued", *FINISHED])
def test_only_a_running_run_can_be_lost(plan, state):
    make_run(plan, state, heartbeat_at=dt.datetime(2026, 1, 15, tzinfo=dt.UTC))

    assert mark_interrupted() == 0
    assert Run.objects.get().state == state


def test_looking_for_lost_runs_takes_one_query_where_there_are_none(
    plan, django_assert_num_queries
):
    make_run(plan, "running", heartbeat_at=timezone.now())

    with django_assert_num_queries(1):
        mark_interrupted()


@pytest.mark.parametrize("state", RunState.values)
def test_only_a_running_run_has_a_heart_to_beat(plan, state):
    run = make_run(plan, state)

    beat(run.pk)

    run.refresh_from_db()
    assert (run.heartbeat_at is not None) == (state == "running")


@pytest.mark.parametrize("state", ["running", *FINISHED])
def test_a_run_that_does_not_wait_is_not_computed(plan, state):
    run = make_run(plan, state)

    compute_run(run.pk)

    run.refresh_from_db()
    assert (run.state, run.started_at) == (state, None)
