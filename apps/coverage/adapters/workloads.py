"""The time that tests take at each site and that the site has, as the values of rows."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from apps.catalogue.models import DeviceClass, LabTest, Method, Need
from planner.engine.coverage.assessment import Assessment
from planner.engine.workload import Batching, Resource, Run, SiteWorkload, workload


@dataclass(frozen=True)
class Timed:
    """One site by its code; ``values`` are those of the fields of a ``SiteWorkload``."""

    site: str
    values: dict[str, Any]


def batching() -> dict[str, Batching]:
    """How the methods of the catalogue are done in batches, by code; two queries."""
    runs: defaultdict[str, list[Run]] = defaultdict(list)
    for method, minutes, samples in Need.objects.order_by("method", "position").values_list(
        "method__code", "minutes_per_run", "samples_per_run"
    ):
        runs[method].append(Run(minutes, samples))
    rows = Method.objects.values_list(
        "code", "batch_size", "minutes_per_batch", "minutes_per_sample"
    )
    return {code: Batching(*figures, tuple(runs[code])) for code, *figures in rows}


def workloads(coverage: Assessment) -> Iterator[Timed]:
    """Every site of the case that ``coverage`` was worked out for; five queries."""
    names = {
        "class": dict(DeviceClass.objects.values_list("code", "name")),
        "test": dict(LabTest.objects.values_list("code", "name")),
        "method": dict(Method.objects.values_list("code", "name")),
    }
    case = coverage.situation.case
    found = workload(case, coverage, batching=batching())
    for site in case.sites:
        yield Timed(site.code, _values(found.at(site.code), names))


def _values(site: SiteWorkload, names: dict[str, dict[str, str]]) -> dict[str, Any]:
    binding = site.binding
    return {
        "asked": site.asked,
        "doable": site.doable,
        "staff_needed_hours": site.staff.needed_hours,
        "staff_available_hours": site.staff.available_hours,
        "binding": binding.kind if binding else "",
        "binding_share": binding.share if binding else None,
        "detail": {
            "own": site.own,
            "from_others": site.from_others,
            "sent_away": site.sent_away,
            "undone": site.undone,
            "short_hours": binding.short_hours if binding else 0.0,
            "binding_names": [names["class"][code] for code in binding.codes] if binding else [],
            "staff": _resource(site.staff),
            "machines": [
                {"name": names["class"][each.code], **_resource(each)} for each in site.machines
            ],
            "tests": [
                {
                    **asdict(test),
                    "test_name": names["test"][test.test],
                    "method_name": names["method"][test.method],
                }
                for test in site.tests
            ],
        },
    }


def _resource(resource: Resource) -> dict[str, Any]:
    """As JSON, which knows no infinite number: a use without any time is ``None``."""
    values = asdict(resource) | {"band": str(resource.band)}
    if resource.needed_hours > 0 and resource.available_hours == 0:
        values["used_share"] = None
    return values
