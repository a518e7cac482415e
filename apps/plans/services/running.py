"""A run from the wish to its end: the states it may go through, and nothing else."""

import datetime as dt

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.module_loading import import_string

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.plans.choices import OPEN_TO_CHANGE, UNFINISHED, RunState
from apps.plans.models import Plan, Run

# By name, since the task is written over these services.
TASK = "apps.plans.tasks.run_plan"

INTERRUPTED = (
    "The computation stopped without an answer: the last sign of life was at {at:%H:%M:%S} UTC"
    " on {at:%Y-%m-%d}. Its worker was ended, or the machine lost power. Start the run again."
)


@transaction.atomic
def start_run(*, plan: Plan, by: User) -> Run:
    """Queue the computation of ``plan``; the task is handed on once this is committed.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` while an earlier
    run of the plan waits or runs, and once the plan is proposed or approved.
    """
    require(by, "plan.run")
    # Held until commit, so that two people who start at once get one run and one refusal.
    held = Plan.objects.select_for_update(of=("self",)).get(pk=plan.pk)
    if held.state not in OPEN_TO_CHANGE:
        raise ValidationError(
            f"This plan is {held.get_state_display().lower()}: it stays as it is. Draft another"
            " one like it to ask again.",
            code="settled",
        )
    if plan.runs.filter(state__in=UNFINISHED).exists():
        raise ValidationError(
            "This plan is being computed already. Wait for it, or cancel it, then start again.",
            code="unfinished",
        )
    run = Run.objects.create(plan=plan, asked_by=by)
    record("run.started", by=by, obj=run, after={"plan": plan.pk})
    task = import_string(TASK)
    transaction.on_commit(lambda: task.enqueue(run.pk))
    return run


@transaction.atomic
def cancel_run(*, run: Run, by: User) -> Run:
    """Cancel ``run`` where it waits; where it runs, ask it to stop, which takes seconds.

    A run that is over stays as it is. Raises ``PermissionDenied`` where ``by`` may not.
    """
    require(by, "plan.run")
    held = _held(run.pk)
    if held.state == RunState.QUEUED:
        held.cancel_requested = True
        finish(held, RunState.CANCELLED)
        record("run.cancelled", by=by, obj=held)
    elif held.state == RunState.RUNNING and not held.cancel_requested:
        held.cancel_requested = True
        held.save(update_fields=["cancel_requested"])
        record("run.cancel-requested", by=by, obj=held)
    for name in ("state", "cancel_requested", "finished_at", "message"):
        setattr(run, name, getattr(held, name))
    return run


def mark_interrupted() -> int:
    """Say of runs whose worker died that they are interrupted; how many there were.

    A running run beats its heart; one that has not for ``RUN_LOST_AFTER_SECONDS`` is lost.
    One query and no transaction where none is, so that every look at a run can afford it.
    """
    lost_before = timezone.now() - dt.timedelta(seconds=settings.RUN_LOST_AFTER_SECONDS)
    lost = Run.objects.filter(state=RunState.RUNNING, heartbeat_at__lt=lost_before)
    if not lost.exists():
        return 0
    with transaction.atomic():
        runs = list(lost.select_for_update())
        for run in runs:
            finish(run, RunState.INTERRUPTED, INTERRUPTED.format(at=run.heartbeat_at))
            record("run.interrupted", by=None, obj=run, after={"heartbeat_at": run.heartbeat_at})
    return len(runs)


def claim(run_id: int) -> Run | None:
    """Take a waiting run and set it running; ``None`` where somebody took or cancelled it."""
    now = timezone.now()
    taken = Run.objects.filter(pk=run_id, state=RunState.QUEUED).update(
        state=RunState.RUNNING, started_at=now, heartbeat_at=now, phase="reading the register"
    )
    if not taken:
        return None
    return Run.objects.select_related("plan__area").get(pk=run_id)


def beat(run_id: int) -> None:
    """A sign of life of a run that is being computed."""
    Run.objects.filter(pk=run_id, state=RunState.RUNNING).update(heartbeat_at=timezone.now())


def still_running(run_id: int) -> Run | None:
    """The run, held until commit; ``None`` where it was declared lost in the meantime."""
    run = _held(run_id)
    return run if run.state == RunState.RUNNING else None


def finish(run: Run, state: RunState, message: str = "") -> None:
    """Set the last state of ``run``, with what went wrong and what to do, if anything did."""
    run.state = state
    run.message = message
    run.phase = ""
    run.finished_at = timezone.now()
    run.save(update_fields=["state", "message", "phase", "finished_at", "cancel_requested"])


def _held(run_id: int) -> Run:
    return Run.objects.select_for_update(of=("self",)).select_related("plan").get(pk=run_id)
