"""What a site reports, against what it can do by the latest assessment."""

from dataclasses import dataclass
from typing import Any

from apps.coverage.choices import State
from apps.coverage.models import Finding
from apps.coverage.selectors.findings import findings_for
from apps.demand.models import ServiceStatistic
from apps.facilities.models import Area


@dataclass(frozen=True)
class Reported:
    """Tests that a site recorded in ``year``, and what it can do: the two do not fit.

    ``phantom``: it recorded tests that nothing there could run. Otherwise it could, and
    recorded none: reagents, people or the record are missing.
    """

    finding: Finding
    year: int
    recorded_tests: float
    phantom: bool


def reported_against_capable(user: Any, district: Area) -> list[Reported]:
    """Sites of ``district`` whose records and devices contradict each other; five queries.

    Only where both are known: a state that is unknown contradicts nothing, nor does a test
    that was not recorded at all, or one whose specimens are sent elsewhere. The latest year of
    each site and test; most tests first.
    """
    said: dict[tuple[int, int], tuple[int, float]] = {}
    rows = ServiceStatistic.objects.filter(facility__area__path__startswith=district.path)
    for site, test, year, recorded in rows.order_by("year").values_list(
        "facility", "test", "year", "recorded_tests"
    ):
        said[site, test] = year, recorded
    found = findings_for(user).filter(
        assessment__area=district, state__in=(State.RUNS, State.BLOCKED)
    )
    odd = [
        Reported(finding, *said[key], phantom=finding.state != State.RUNS)
        for finding in found.defer("detail")
        if (key := (finding.facility_id, finding.test_id)) in said
        and (said[key][1] > 0) == (finding.state != State.RUNS)
    ]
    return sorted(odd, key=lambda each: -each.recorded_tests)
