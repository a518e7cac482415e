from collections.abc import Iterable
from typing import Any

from django.db.models import Prefetch, QuerySet

from apps.accounts.models import User
from apps.catalogue.models import (
    DeviceClass,
    DeviceModel,
    Infrastructure,
    LabTest,
    Programme,
    Skill,
)
from apps.facilities.models import Area, Facility
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


def lines_of_runs(runs: Iterable[Run]) -> QuerySet[Line]:
    """The actions of several runs with their facilities, by site; one query."""
    lines = Line.objects.filter(run__in=[run.pk for run in runs])
    return lines.select_related("facility__area").order_by(
        "facility__code", "kind", "item_code", "run_id"
    )


def answered_run(plan: Plan) -> Run | None:
    """The run that says what ``plan`` comes to: the newest that found a plan; no query."""
    found = (run for run in plan.runs.all() if run.result_id and run.status != "infeasible")
    return next(found, latest_run(plan))


def names_asked(plan: Plan) -> dict[str, dict[str, str]]:
    """What the codes in ``plan.asked`` are called, by kind of thing.

    No query where nothing is asked, else one for each kind.
    """
    kinds = ("areas", "programmes", "tests", "sites", "items", "classes")
    if not plan.asked:
        return {kind: {} for kind in kinds}
    items: dict[str, str] = {}
    for model in (DeviceModel, Skill, Infrastructure):
        items |= dict(model.objects.values_list("code", "name"))
    within = plan.area.path
    return {
        "areas": dict(Area.objects.within(within).values_list("code", "name")),
        "programmes": dict(Programme.objects.values_list("code", "name")),
        "tests": dict(LabTest.objects.values_list("code", "name")),
        "sites": dict(Facility.objects.within(within).values_list("code", "name")),
        "items": items,
        "classes": dict(DeviceClass.objects.values_list("code", "name")),
    }


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
