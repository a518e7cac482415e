"""How well a site tests: what its methods find and miss where it is."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from apps.catalogue.models import Method, Study
from apps.coverage.models import Assessment
from apps.coverage.selectors.figures import AccuracyHere, accuracy_here, without_interval
from apps.coverage.selectors.rivals import best_of_catalogue, best_of_hubs, running_at
from apps.coverage.selectors.ways import Way
from apps.demand.models import Demand
from apps.demand.selectors.prevalences import prevalences_at
from apps.facilities.models import Facility
from planner.engine.accuracy import Estimate, estimate


def accuracy_at(
    facility: Facility, assessment: Assessment, ways: Sequence[Way]
) -> list[AccuracyHere]:
    """The tests that ``facility`` runs by ``assessment``, in order of name; six queries.

    ``ways``: its routes. Volumes are what its own people need; results of specimens from
    elsewhere are not counted.
    """
    at_hubs = [way.destination for way in ways]
    running = running_at(assessment, [facility.code, *at_hubs])
    here = running.pop(facility.code, {})
    methods = _methods(here)
    demand = dict(Demand.objects.filter(facility=facility).values_list("test", "tests_per_year"))
    prevalences = prevalences_at(facility)
    intervals = _intervals(methods)
    hubs = _hubs(at_hubs, running)
    found = []
    for code in here.values():
        if (method := methods.get(code)) is None:
            continue  # taken out of the catalogue since
        rivals = [
            *best_of_hubs(method, methods, ways, running, hubs),
            *best_of_catalogue(method, methods.values()),
        ]
        found.append(
            accuracy_here(
                method,
                intervals.get(method.pk, without_interval(method)),
                prevalences.get(method.test_id),
                demand.get(method.test_id),
                rivals,
            )
        )
    return sorted(found, key=lambda each: each.test.name)


def _methods(tests: Iterable[int]) -> dict[str, Method]:
    rows = Method.objects.filter(test__in=tests).select_related(
        "test__programme", "sensitivity_source", "specificity_source"
    )
    return {row.code: row for row in rows.order_by("code")}


def _hubs(codes: Sequence[str], running: Mapping[str, Any]) -> dict[str, Facility]:
    wanted = [code for code in codes if code in running]
    return {site.code: site for site in Facility.objects.filter(code__in=wanted)}


def _intervals(methods: Mapping[str, Method]) -> dict[int, tuple[Estimate, Estimate]]:
    """Method id to its sensitivity and specificity, with the interval of the study that
    found just these figures; a range over products or settings is no interval of one."""
    by_id = {method.pk: method for method in methods.values()}
    found = {pk: without_interval(method) for pk, method in by_id.items()}
    for study in Study.objects.filter(method__in=by_id).order_by("code"):
        method, (se, sp) = by_id[study.method_id], found[study.method_id]
        if study.sensitivity == method.sensitivity and study.sensitivity_low is not None:
            se = estimate(study.sensitivity, study.sensitivity_low, study.sensitivity_high)
        if study.specificity == method.specificity and study.specificity_low is not None:
            sp = estimate(study.specificity, study.specificity_low, study.specificity_high)
        found[study.method_id] = se, sp
    return found
