"""Two to four plans side by side."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from apps.plans.selectors import answered_run, lines_of_runs, plans_for
from apps.web.plan_parts import compared
from apps.web.views.access import permitted

FEWEST, MOST = 2, 4


@permitted("plan.view")
def plan_compare(request: HttpRequest) -> HttpResponse:
    """The plans that ``plan=`` names, in that order; the address repeats the comparison."""
    asked = [int(number) for number in request.GET.getlist("plan") if number.isdecimal()]
    numbers = list(dict.fromkeys(asked))
    if not FEWEST <= len(numbers) <= MOST:
        messages.error(request, gettext("Choose two to four plans to compare."))
        return redirect("web:plan-list")
    rows = plans_for(request.user).prefetch_related("earmarks", "floors").filter(pk__in=numbers)
    plans = sorted(rows, key=lambda plan: numbers.index(plan.pk))
    if len(plans) < len(numbers):
        messages.error(request, gettext("One of these plans is not there, or not yours to see."))
        return redirect("web:plan-list")
    runs = [answered_run(plan) for plan in plans]
    lines = lines_of_runs(run for run in runs if run is not None)
    return render(request, "web/plans/compare.html", {"compared": compared(plans, runs, lines)})
