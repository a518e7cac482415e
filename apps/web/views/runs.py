"""One run of a plan: its page, which may be about an earlier run, and its files."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from apps.plans import exports
from apps.plans.selectors import plan_for, run_for
from apps.web.views.access import found, permitted
from apps.web.views.files import CSV, JSON, XLSX, attachment
from apps.web.views.plan_page import plan_page


@permitted("plan.view")
def run_detail(request: HttpRequest, plan_id: int, run_id: int) -> HttpResponse:
    """The page of the plan with this run in the place of the latest."""
    run = _run(request, plan_id, run_id)
    plan = found(lambda: plan_for(request.user, plan_id))
    return render(request, "web/plans/detail.html", plan_page(request, plan, run))


def _file(write: Callable[[Any], bytes | str], name: str, media_type: str):
    """A view that gives one file of a finished run; 404 where the run has no answer."""

    @permitted("plan.view")
    def download(request: HttpRequest, plan_id: int, run_id: int) -> HttpResponse:
        run = _run(request, plan_id, run_id)
        if run.result_id is None:
            raise Http404
        return attachment(write(run), f"plan-{plan_id}-run-{run_id}-{name}", media_type)

    return download


actions_csv = _file(exports.lines_csv, "actions.csv", CSV)
actions_xlsx = _file(exports.lines_xlsx, "actions.xlsx", XLSX)
coverage_csv = _file(exports.coverage_csv, "coverage.csv", CSV)
budgets_csv = _file(exports.budgets_csv, "budgets.csv", CSV)
result_json = _file(exports.result_json, "result.json", JSON)
case_json = _file(exports.case_json, "case.json", JSON)


def _run(request: HttpRequest, plan_id: int, run_id: int) -> Any:
    run = found(lambda: run_for(request.user, run_id))
    if run.plan_id != plan_id:
        raise Http404
    return run
