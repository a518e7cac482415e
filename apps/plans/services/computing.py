"""From a waiting run to its answer: freeze, plan, judge, keep."""

import logging
from dataclasses import dataclass

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from apps.audit.services import record
from apps.coverage.adapters import Frozen
from apps.coverage.services import keep_document
from apps.plans.adapters import Extras, case_of, lines, summary
from apps.plans.choices import RunState
from apps.plans.models import Line, Run
from apps.plans.services.beside import compared
from apps.plans.services.listening import Wish, tell, teller
from apps.plans.services.running import claim, finish, still_running
from planner.engine.allocation import gap_at_most, plan, today
from planner.engine.allocation.verify import verify
from planner.engine.case import Result
from planner.engine.errors import EngineError

log = logging.getLogger(__name__)

OUR_FAULT = (
    "Something went wrong on our side; nothing was changed. Start the run again. If it fails"
    " again, tell whoever runs the service: run {run}, {at:%Y-%m-%d %H:%M} UTC."
)
WORKER_ENDED = "The worker was stopped before it was done. Start the run again."
STOPPED_WITH_PLAN = (
    "The search was stopped. The best plan found until then is kept with the run; no plan can"
    " be better by more than {gap:.2%}."
)


@dataclass(frozen=True)
class Answer:
    """What a computation came to, ready to be kept."""

    frozen: Frozen
    result: Result
    before: Result
    extras: Extras
    cancelled: bool


class RejectedError(EngineError):
    """The judge found something wrong with what the optimiser says."""


def compute_run(run_id: int) -> None:
    """Compute the waiting run ``run_id`` and keep its answer, or what went wrong.

    Does nothing where the run is not waiting any more. Progress goes to the run as it is
    made. The answer is kept in one transaction, after the judge has accepted it; while the
    solver works no transaction is open.
    """
    run = claim(run_id)
    if run is None:
        return
    wish = Wish(run_id)
    try:
        answer = _computed(run, wish)
        with transaction.atomic():
            _keep(run_id, answer)
    except EngineError as error:
        state = RunState.CANCELLED if wish.seen else RunState.FAILED
        _end_without_answer(run_id, state, str(error))
    except Exception:
        log.exception("Run %s failed", run_id)
        message = OUR_FAULT.format(run=run_id, at=timezone.now())
        _end_without_answer(run_id, RunState.FAILED, message)
    except BaseException:
        # The worker is being ended, and says so while it still can.
        _end_without_answer(run_id, RunState.INTERRUPTED, WORKER_ENDED)
        raise


def _computed(run: Run, wish: Wish) -> Answer:
    frozen = case_of(run.plan)
    result = plan(
        frozen.case,
        gap=run.plan.gap,
        seconds=run.plan.time_limit_s,
        progress=teller(run.pk),
        cancelled=wish,
    )
    tell(run.pk, phase="checking and explaining the plan")
    before = today(frozen.case, seconds=run.plan.time_limit_s)
    wrong = [*verify(frozen.case, result), *verify(frozen.case, before, floors=False)]
    if wrong:
        log.error("Run %s: the judge refused the plan: %s", run.pk, wrong)
        raise RejectedError(
            f"The plan that was found breaks a rule, so it is not shown: {wrong[0].text}",
            remedy=f"Tell whoever runs the service: run {run.pk}, rule {wrong[0].rule}.",
        )
    cancelled = wish.seen
    beside = Extras() if cancelled else compared(run, frozen.case, result, before, wish)
    return Answer(frozen, result, before, beside, cancelled)


def _keep(run_id: int, answer: Answer) -> None:
    """Everything about the answer at once, unless the run was given up in the meantime."""
    run = still_running(run_id)
    if run is None:
        log.warning("Run %s ended before its answer came; the answer is dropped", run_id)
        return
    case, result = answer.frozen.case, answer.result
    run.case = keep_document(case.to_json())
    run.result = keep_document(result.to_json())
    run.engine_version = settings.VERSION
    run.status = result.status
    run.objective, run.bound, run.gap = result.objective, result.bound, result.gap
    run.objective_before = answer.before.objective_before
    run.summary = summary(answer.frozen, result, answer.before, answer.extras)
    run.save()
    Line.objects.bulk_create(lines(run, case, result), batch_size=1000)
    if answer.cancelled:
        finish(
            run, RunState.CANCELLED, STOPPED_WITH_PLAN.format(gap=gap_at_most(result.gap or 0.0))
        )
    else:
        finish(run, RunState.DONE)
    record(
        f"run.{run.state}",
        by=run.asked_by,
        obj=run,
        after={"case": run.case_id, "result": run.result_id, "status": run.status},
    )


@transaction.atomic
def _end_without_answer(run_id: int, state: RunState, message: str) -> None:
    run = still_running(run_id)
    if run is None:
        return
    finish(run, state, message)
    record(f"run.{run.state}", by=run.asked_by, obj=run, after={"message": message})
