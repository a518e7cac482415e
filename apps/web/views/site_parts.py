"""Parts of a site's page that are worked out from more than the site's own rows."""

from typing import Any

from apps.coverage.selectors.accuracy import accuracy_at
from apps.coverage.selectors.elsewhere import reach_from
from apps.coverage.selectors.ways import ways_from
from apps.web.accuracies import accuracy_sheet
from apps.web.elsewhere import elsewhere_groups


def accuracy_and_reach(site: Any, district: Any, assessment: Any | None) -> dict[str, Any]:
    """How well the site tests, and where it is from what it lacks; nothing without findings.

    Twelve queries at most, however much there is.
    """
    if assessment is None:
        return {"accuracy": None, "elsewhere": None}
    ways = ways_from(site)
    return {
        "accuracy": accuracy_sheet(accuracy_at(site, assessment, ways), district.currency),
        "elsewhere": elsewhere_groups(reach_from(site, district, assessment, ways)),
    }
