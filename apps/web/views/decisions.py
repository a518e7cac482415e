"""A plan on its way to a decision, and the notes that people write on it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.plans.selectors import note_for, plan_for, run_for
from apps.plans.services import (
    add_note,
    approve_plan,
    close_note,
    propose_plan,
    send_back,
    withdraw_proposal,
)
from apps.web.views.access import found, permitted


@require_POST
@permitted("plan.draft")
def plan_propose(request: HttpRequest, plan_id: int, run_id: int) -> HttpResponse:
    """Put one answer forward for approval by somebody else."""
    plan = found(lambda: plan_for(request.user, plan_id))
    run = found(lambda: run_for(request.user, run_id))
    done = gettext("Proposed. Somebody else has to approve it.")
    return _decided(request, plan, done, lambda: propose_plan(plan=plan, run=run, by=request.user))


@require_POST
@permitted("plan.draft")
def plan_withdraw(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Take the own proposal back."""
    plan = found(lambda: plan_for(request.user, plan_id))
    done = gettext("The proposal is withdrawn.")
    return _decided(request, plan, done, lambda: withdraw_proposal(plan=plan, by=request.user))


@require_POST
@permitted("plan.approve")
def plan_decide(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Approve a proposal of somebody else, or send it back with the reason."""
    plan = found(lambda: plan_for(request.user, plan_id))
    why = request.POST.get("why", "")
    if request.POST.get("decision") == "approve":
        done = gettext("Approved. The plan stays as it is from now on.")
        return _decided(
            request, plan, done, lambda: approve_plan(plan=plan, by=request.user, why=why)
        )
    done = gettext("Sent back.")
    return _decided(request, plan, done, lambda: send_back(plan=plan, by=request.user, why=why))


@require_POST
@permitted("plan.review")
def note_add(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Write a note on a plan, or a reply to one."""
    plan = found(lambda: plan_for(request.user, plan_id))
    about = request.POST.get("reply_to", "")
    note = found(lambda: note_for(request.user, plan_id, int(about))) if about.isdecimal() else None
    text = request.POST.get("text", "")
    done = gettext("The note is kept.")
    return _decided(
        request,
        plan,
        done,
        lambda: add_note(plan=plan, text=text, by=request.user, reply_to=note),
        part="notes",
    )


@require_POST
@permitted("plan.review")
def note_close(request: HttpRequest, plan_id: int, note_id: int) -> HttpResponse:
    """Say that a note is dealt with."""
    note = found(lambda: note_for(request.user, plan_id, note_id))
    done = gettext("The note is closed.")
    return _decided(
        request, note.plan, done, lambda: close_note(note=note, by=request.user), part="notes"
    )


def _decided(
    request: HttpRequest, plan: Any, done: str, work: Callable[[], object], part: str = "decision"
) -> HttpResponse:
    """Do it, say so or say why not, and go back to that part of the plan's page."""
    try:
        work()
    except (ValidationError, PermissionDenied) as refused:
        said = refused.messages if isinstance(refused, ValidationError) else [str(refused)]
        messages.error(request, " ".join(said))
    else:
        messages.success(request, done)
    answer = redirect("web:plan-detail", plan.pk)
    answer["Location"] += f"#{part}"
    return answer
