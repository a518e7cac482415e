"""Who works at the sites of a district, by cadre, and what they were trained in."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.catalogue.choices import Cadre
from apps.facilities.selectors import facilities_for, facility_for
from apps.facilities.services import Said
from apps.inventory.rules import WORKING_WEEKS_PER_YEAR
from apps.inventory.selectors import skills_in, staff_in
from apps.inventory.services import adopt_testing_hours
from apps.web.staffing import skill_rows, staff_rows
from apps.web.views.access import found, permitted
from apps.web.views.scope import scope_of


@permitted("register.view")
def staff_list(request: HttpRequest) -> HttpResponse:
    """Counts by cadre, hours that follow beside those stated, and skills with their age."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/staff/list.html", {"district": None})
    sites = facilities_for(request.user).within(scope.district.path).order_by("name")
    values: dict[str, Any] = {
        "district": scope.district,
        "cadres": Cadre.choices,
        "weeks": WORKING_WEEKS_PER_YEAR,
        "sites": staff_rows(sites, staff_in(request.user, scope.district)),
        "skills": skill_rows(skills_in(request.user, scope.district), timezone.localdate()),
        "may_change": may(request.user, "register.change"),
    }
    return render(request, "web/staff/list.html", values)


@require_POST
@permitted("register.change")
def staff_adopt(request: HttpRequest, code: str) -> HttpResponse:
    """Make the hours that follow from the staff counted the stated ones, because somebody asks."""
    site = found(lambda: facility_for(request.user, code))
    today = timezone.localdate()
    why = gettext("Worked out from the staff counted")
    try:
        kept = adopt_testing_hours(
            site=site, said=Said(observed_on=today, why=why), by=request.user
        )
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        if kept is None:
            messages.error(request, gettext("The hours of somebody there are not known."))
        else:
            messages.success(request, gettext("%(site)s: hours adopted.") % {"site": site})
    return redirect("web:staff-list")
