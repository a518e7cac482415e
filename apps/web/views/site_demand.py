"""What the page of a site shows about demand, and about the time for it."""

from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext

from apps.coverage.selectors import workload_at
from apps.demand.selectors import estimates_at
from apps.web.estimates import lines_of, summary
from apps.web.workloads import time_of


def site_demand(request: HttpRequest, site: Any) -> dict[str, Any]:
    """What the page of ``site`` says about demand and time; a constant number of queries."""
    lines = lines_of(estimates_at(request.user, site))
    workload = workload_at(request.user, site)
    return {
        "demand": {
            "summary": summary(line.estimate for line in lines),
            "flagged": [line for line in lines if line.flag],
            "lines": sorted(lines, key=lambda line: line.estimate.test.name),
            "first_column": gettext("Test"),
        },
        "workload": workload,
        "time": time_of(workload) if workload else None,
    }
