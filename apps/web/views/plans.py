"""Plans: the list, drafting one, and the page that holds a question and its answer."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.facilities.selectors import plannable_districts
from apps.plans.choices import UNFINISHED
from apps.plans.selectors import latest_run, plan_for, plans_for
from apps.plans.services import cancel_run, draft_plan, mark_interrupted, start_run
from apps.web.answers import answer
from apps.web.views.access import found, permitted
from apps.web.views.draft_forms import draft_forms
from apps.web.views.plan_page import plan_page
from apps.web.views.scope import scope_of

PAGE_SIZE = 50


@permitted("plan.view")
def plan_list(request: HttpRequest) -> HttpResponse:
    """The plans within reach, the latest first."""
    page = Paginator(plans_for(request.user), PAGE_SIZE).get_page(request.GET.get("page"))
    rows = [{"plan": plan, "answer": answer(latest_run(plan))} for plan in page]
    values = {"page": page, "rows": rows, "may_draft": may(request.user, "plan.draft")}
    return render(request, "web/plans/list.html", values)


@permitted("plan.draft")
def plan_draft(request: HttpRequest) -> HttpResponse:
    """Ask the questions of a plan; a good answer saves it and goes to its page."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/plans/draft.html", {"district": None})
    if not plannable_districts(request.user).filter(pk=scope.district.pk).exists():
        # Who answers for a block alone would not see the plan that they drafted.
        raise PermissionDenied
    form, asking = draft_forms(request, scope.district)
    if form.is_bound and all([form.is_valid(), asking.is_valid()]):
        try:
            plan = draft_plan(
                area=scope.district, by=request.user, asked=asking.answers(), **form.answers()
            )
        except ValidationError as refused:
            form.add_error(None, " ".join(refused.messages))
        else:
            return redirect("web:plan-detail", plan.pk)
    wrong = len(form.errors) + len(asking.errors) if form.is_bound else 0
    values = {
        "form": form,
        "asking": asking,
        "wrong": wrong,
        "district": scope.district,
        "districts": scope.districts,
    }
    return render(request, "web/plans/draft.html", values)


@permitted("plan.view")
def plan_detail(request: HttpRequest, plan_id: int) -> HttpResponse:
    """A plan with its latest run: how to start it, how far it is, or what it came to."""
    mark_interrupted()
    plan = found(lambda: plan_for(request.user, plan_id))
    return render(request, "web/plans/detail.html", plan_page(request, plan, latest_run(plan)))


@permitted("plan.view")
def plan_progress(request: HttpRequest, plan_id: int) -> HttpResponse:
    """How far the latest run is, as a fragment; a header says when no more is to come."""
    mark_interrupted()
    run = latest_run(found(lambda: plan_for(request.user, plan_id)))
    response = render(request, "web/plans/progress.html", {"run": run})
    finished = run is None or run.state not in UNFINISHED
    response.headers["X-Run-Finished"] = "yes" if finished else "no"
    response.headers["Cache-Control"] = "no-store"
    return response


@require_POST
@permitted("plan.run")
def plan_start(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Queue a run; the page then follows it."""
    plan = found(lambda: plan_for(request.user, plan_id))
    try:
        start_run(plan=plan, by=request.user)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    return redirect("web:plan-detail", plan_id)


@require_POST
@permitted("plan.run")
def plan_cancel(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Ask the latest run to stop; a run that is over stays as it is."""
    run = latest_run(found(lambda: plan_for(request.user, plan_id)))
    if run is not None:
        cancel_run(run=run, by=request.user)
    return redirect("web:plan-detail", plan_id)
