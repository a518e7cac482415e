from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from apps.accounts.rules import may
from apps.coverage.selectors import findings_at, latest_assessment, tallies
from apps.facilities.choices import Level, PowerSource
from apps.facilities.selectors import areas_with_sites, district_of, facilities_for, facility_for
from apps.inventory.selectors import infrastructure_at, items_at, skills_at
from apps.web.figures import position
from apps.web.forms.sites import SiteFilter
from apps.web.maps import draw
from apps.web.places import regions
from apps.web.registers import AMENITIES, file_rows
from apps.web.sheets import site_sheet
from apps.web.site_rows import site_rows
from apps.web.views.access import found, permitted
from apps.web.views.scope import scope_of
from apps.web.views.site_demand import site_demand
from apps.web.views.site_parts import accuracy_and_reach

PAGE_SIZE = 50
SHADES = (
    ("none", _("none")),
    ("1", _("under 20 %")),
    ("2", _("20 to 40 %")),
    ("3", _("40 to 60 %")),
    ("4", _("60 to 80 %")),
    ("5", _("80 % and more")),
)


@permitted("register.view")
def site_list(request: HttpRequest) -> HttpResponse:
    """The sites of one district, on a map and in a table of 50 a page."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/sites/list.html", {"district": None})
    assessment = latest_assessment(scope.district)
    areas = areas_with_sites(request.user, scope.district)
    sites = facilities_for(request.user).within(scope.district.path)
    filters = SiteFilter(request.GET, queryset=sites, blocks=areas)
    rows = site_rows(
        filters.qs,
        tallies(assessment) if assessment else {},
        order=request.GET.get("sort", ""),
    )
    page = Paginator(rows, PAGE_SIZE).get_page(request.GET.get("page"))
    values: dict[str, Any] = {
        "district": scope.district,
        "assessment": assessment,
        "filters": filters.form,
        "total": sites.count(),
        "page": page,
        "drawing": draw([row.place for row in rows], regions(areas, scope.district)),
        "levels": Level.choices,
        "shades": SHADES,
    }
    return render(request, "web/sites/list.html", values)


@permitted("register.view")
def site_detail(request: HttpRequest, code: str) -> HttpResponse:
    """One site: its facts, its tests with what stands in their way, and what it holds."""
    site = found(lambda: facility_for(request.user, code))
    district = district_of(site.area)
    assessment = latest_assessment(district)
    values: dict[str, Any] = {
        "site": site,
        "district": district,
        "currency": district.currency,
        "position": position(site),
        "power": ""
        if site.power_source == PowerSource.UNKNOWN
        else site.get_power_source_display(),
        "assessment": assessment,
        "sheet": site_sheet(findings_at(request.user, site)) if assessment else None,
        "equipment": items_at(site),
        "amenities": file_rows(site, AMENITIES),
        "may_change": may(request.user, "register.change"),
        "skills": skills_at(site),
        "infrastructure": infrastructure_at(site),
        **site_demand(request, site),
        **accuracy_and_reach(site, district, assessment),
    }
    return render(request, "web/sites/detail.html", values)
