"""What stands beside the answer of a run: other budgets, simple ways, people, years."""

from typing import Any

from django.http import HttpRequest

from apps.facilities.selectors import areas_with_sites, facilities_for
from apps.web.places import regions
from apps.web.plan_parts import budgets, people, reached, running, ways
from apps.web.views.sites import SHADES


def beside(request: HttpRequest, plan: Any, run: Any) -> dict[str, Any]:
    """``None`` for each part that was not computed with ``run``; a constant number of queries."""
    if "sites" not in run.summary:
        return {}
    district = plan.area
    sites = list(facilities_for(request.user).within(district.path))
    land = regions(areas_with_sites(request.user, district), district)
    return {
        "budgets": budgets(plan, run),
        "ways": ways(run),
        "running": running(run, district.currency),
        "people": people(run, sites, land, district.currency),
        "reached": reached(run, {site.code: site.name for site in sites}),
        "shades": SHADES,
    }
