from typing import Any

from django.db.models import Prefetch, QuerySet

from apps.accounts.models import User
from apps.facilities.models import Area
from apps.plans.choices import StepKind
from apps.plans.models import Line, Plan, ReviewNote, Run, Step


def plans_for(user: Any) -> QuerySet[Plan]:
    """Plans that ``user`` may see, newest first, with area, maker and runs; three queries.

    ``plan.runs.all()`` is newest first and takes no query.
    """
    runs = Run.objects.select_related("asked_by")
    return (
        Plan.objects.visible_to(user)
        .select_related("area", "made_by")
        .prefetch_related(Prefetch("runs", runs))
    )


def plan_for(user: Any, pk: int) -> Plan:
    """One plan with its earmarks and floors; ``Plan.DoesNotExist`` if ``user`` may not see it."""
    return plans_for(user).prefetch_related("earmarks__programme", "floors__area").get(pk=pk)


def runs_for(user: Any) -> QuerySet[Run]:
    """Runs of the plans that ``user`` may see, newest first; two queries."""
    visible = Area.objects.visible_to(user)
    return Run.objects.filter(plan__area__in=visible.order_by()).select_related(
        "plan__area", "plan__made_by", "asked_by"
    )


def run_for(user: Any, pk: int) -> Run:
    """One run; raises ``Run.DoesNotExist`` if ``user`` may not see its plan."""
    return runs_for(user).get(pk=pk)


def latest_run(plan: Plan) -> Run | None:
    """The newest run of ``plan``; no query if the plan came with its runs."""
    return next(iter(plan.runs.all()), None)


def lines_of(run: Run) -> QuerySet[Line]:
    """The actions of ``run`` with their facilities, in order of area and site; one query."""
    return run.lines.select_related("facility__area").order_by(
        "facility__area__code", "facility__code", "kind", "item_code"
    )


def steps_of(plan: Plan) -> QuerySet[Step]:
    """Who proposed, sent back and approved ``plan``, the latest first; one query."""
    return plan.steps.select_related("by", "run")


def proposer(plan: Plan) -> User | None:
    """Who proposed ``plan`` last; one query."""
    step = plan.steps.filter(kind=StepKind.PROPOSED).select_related("by").first()
    return step.by if step else None


def notes_on(plan: Plan) -> QuerySet[ReviewNote]:
    """The notes on ``plan`` in order, each with its replies; two queries."""
    replies = Prefetch("replies", ReviewNote.objects.select_related("by"))
    notes = plan.notes.filter(reply_to=None).select_related("by", "closed_by")
    return notes.prefetch_related(replies)


def note_for(user: Any, plan_pk: int, pk: int) -> ReviewNote:
    """One note on a plan that ``user`` may see; else ``ReviewNote.DoesNotExist``."""
    return ReviewNote.objects.select_related("plan").get(
        pk=pk, plan__in=Plan.objects.visible_to(user).filter(pk=plan_pk)
    )
