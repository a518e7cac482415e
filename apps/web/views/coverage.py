from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.catalogue.selectors import programmes, test_methods
from apps.coverage.choices import State
from apps.coverage.exports import findings_csv
from apps.coverage.selectors import findings_across, grid
from apps.coverage.selectors.reach import reach_of_test
from apps.coverage.services import refresh_coverage
from apps.facilities.choices import Level
from apps.facilities.selectors import areas_with_sites
from apps.web.answers import coverage_answer
from apps.web.forms.coverage import GridForm
from apps.web.forms.reach import PaceForm
from apps.web.grids import blocks, columns, select
from apps.web.hindrances import across
from apps.web.maps import RADIUS_GLYPH, draw
from apps.web.methods import compared
from apps.web.places import StatePlace, regions
from apps.web.reaches import people_reach
from apps.web.views.access import found, permitted
from apps.web.views.files import CSV, attachment
from apps.web.views.scope import required_district, scope_of
from planner.engine.errors import EngineError


@permitted("register.view")
def coverage_grid(request: HttpRequest) -> HttpResponse:
    """Sites by tests, and what each can do about each."""
    scope = scope_of(request)
    values: dict[str, Any] = {
        "district": scope.district,
        "may_refresh": may(request.user, "coverage.refresh"),
    }
    if scope.district is None:
        return render(request, "web/coverage/grid.html", values)
    form = GridForm(
        request.GET, blocks=areas_with_sites(request.user, scope.district), programmes=programmes()
    )
    shown = grid(request.user, scope.district, **form.limits())
    selection = select(shown.tests, shown.rows, form.sought())
    values |= {
        "filters": form,
        "grid": shown,
        "on": form.limits()["on"],
        "answer": coverage_answer(shown.counts),
        "legend": [(state, shown.counts.get(state, 0)) for state in State],
        "columns": columns(shown.tests[at] for at in selection.tests),
        "blocks": blocks(selection, shown.tests),
    }
    return render(request, "web/coverage/grid.html", values)


@permitted("register.view")
def coverage_test(request: HttpRequest, code: str) -> HttpResponse:
    """One test across the district, and what stands in its way, by the people who meet it."""
    district = required_district(request)
    findings = findings_across(request.user, district, code)
    if not findings:
        raise Http404
    spread = across(findings)
    areas = areas_with_sites(request.user, district)
    values: dict[str, Any] = {
        "district": district,
        "test": findings[0].test,
        "assessment": findings[0].assessment,
        "found": spread,
        "drawing": draw(spread.places, regions(areas, district), least=RADIUS_GLYPH),
        "marks": [StatePlace("", "", 0, 0, 0, None, state) for state in State],
        "levels": Level.choices,
        "methods": compared(test_methods(code).prefetch_related(None), spread.runs_by_method),
        "people": people_reach(
            reach_of_test(
                request.user,
                district,
                findings[0].test,
                findings[0].assessment,
                PaceForm(request.GET).pace(),
            )
        ),
    }
    return render(request, "web/coverage/test.html", values)


@require_POST
@permitted("coverage.refresh")
def coverage_refresh(request: HttpRequest) -> HttpResponse:
    """Work the district out again from the register as it stands now."""
    district = required_district(request)
    try:
        refresh_coverage(area=district, by=request.user)
    except EngineError as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, gettext("Worked out from the register as it stands now."))
    return redirect(f"{reverse('web:coverage-grid')}?district={district.code}")


@permitted("register.view")
def coverage_csv(request: HttpRequest) -> HttpResponse:
    district = required_district(request)
    content = found(lambda: findings_csv(request.user, district))
    return attachment(content, f"coverage-{district.code}.csv", CSV)
