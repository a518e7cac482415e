"""A plan on its way to a decision: proposed by one person, approved or sent back by another."""

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.plans.choices import OPEN_TO_CHANGE, PlanState, RunState, StepKind
from apps.plans.models import Plan, Run, Step
from apps.plans.selectors import proposer


@transaction.atomic
def propose_plan(*, plan: Plan, run: Run, by: User) -> Plan:
    """Put the answer ``run`` of ``plan`` forward for approval; until then it stays as it is.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` where the run holds
    no plan that could be carried out, or the plan is proposed or approved already.
    """
    require(by, "plan.draft")
    held = _held(plan, OPEN_TO_CHANGE)
    answers = run.plan_id == held.pk and run.state == RunState.DONE and run.result_id is not None
    if not answers or run.status == "infeasible":
        raise ValidationError("Only a finished computation that found a plan can be proposed.")
    return _step(held, StepKind.PROPOSED, PlanState.PROPOSED, run=run, by=by)


@transaction.atomic
def withdraw_proposal(*, plan: Plan, by: User, why: str = "") -> Plan:
    """Take the own proposal back. Raises ``PermissionDenied`` for one of somebody else."""
    require(by, "plan.draft")
    held = _held(plan, (PlanState.PROPOSED,))
    if proposer(held) != by:
        raise PermissionDenied("Only who proposed a plan takes the proposal back.")
    return _step(held, StepKind.WITHDRAWN, PlanState.DRAFT, run=held.settled_run, by=by, why=why)


@transaction.atomic
def send_back(*, plan: Plan, by: User, why: str) -> Plan:
    """Ask for another answer, and say why.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` without a reason.
    """
    require(by, "plan.approve")
    held = _held(plan, (PlanState.PROPOSED,))
    if not why.strip():
        raise ValidationError({"why": "Say what has to change."})
    return _step(
        held, StepKind.SENT_BACK, PlanState.SENT_BACK, run=held.settled_run, by=by, why=why
    )


@transaction.atomic
def approve_plan(*, plan: Plan, by: User, why: str = "") -> Plan:
    """Decide that the proposed answer will be carried out.

    Raises ``PermissionDenied`` where ``by`` may not approve, or proposed it themselves.
    """
    require(by, "plan.approve")
    held = _held(plan, (PlanState.PROPOSED,))
    if proposer(held) == by:
        raise PermissionDenied("Nobody approves what they proposed: ask somebody else.")
    return _step(held, StepKind.APPROVED, PlanState.APPROVED, run=held.settled_run, by=by, why=why)


def _held(plan: Plan, states: tuple[PlanState, ...]) -> Plan:
    """The plan, held until commit, if it is in one of ``states``."""
    held = Plan.objects.select_for_update(of=("self",)).select_related("area").get(pk=plan.pk)
    if held.state not in states:
        raise ValidationError(
            f"The plan is {held.get_state_display().lower()}, so this cannot be done with it now."
            " Look at the page again: somebody else may have been quicker."
        )
    return held


def _step(
    plan: Plan, kind: StepKind, state: PlanState, *, run: Run | None, by: User, why: str = ""
) -> Plan:
    before = plan.state
    Step.objects.create(plan=plan, run=run, kind=kind, by=by, why=why)
    plan.state = state
    plan.settled_run = None if state in OPEN_TO_CHANGE else run
    plan.save(update_fields=["state", "settled_run"])
    record(
        f"plan.{kind.value.replace('_', '-')}",
        by=by,
        obj=plan,
        before={"state": before},
        after={"state": state.value, "run": run.pk if run else None},
        why=why[:300],
    )
    return plan
