"""Methods that would find more than the one at hand: at a site in reach, or anywhere."""

from collections.abc import Iterable, Mapping
from typing import TypeAlias

from apps.catalogue.choices import ClinicalGrade
from apps.catalogue.models import Method
from apps.coverage.choices import State
from apps.coverage.models import Assessment, Finding
from apps.coverage.selectors.ways import Way
from apps.facilities.models import Facility

Rival: TypeAlias = tuple[Method, Facility | None]
"""A better method, and the site where it runs; ``None`` where only the catalogue has it."""


def running_at(assessment: Assessment, codes: Iterable[str]) -> dict[str, dict[int, str]]:
    """Facility code to test id to the code of the best method that runs there."""
    running: dict[str, dict[int, str]] = {}
    for site, test, method in Finding.objects.filter(
        assessment=assessment, state=State.RUNS, facility__code__in=codes
    ).values_list("facility__code", "test", "method_code"):
        running.setdefault(site, {})[test] = method
    return running


def best_of_catalogue(method: Method, methods: Iterable[Method]) -> list[Rival]:
    """The most sensitive method of the same test, where it beats ``method``; trials are none."""
    rivals = [
        other
        for other in methods
        if other.test_id == method.test_id
        and other.clinical_grade != ClinicalGrade.INVESTIGATIONAL
        and other.sensitivity > method.sensitivity
    ]
    best = min(rivals, key=lambda each: (-each.sensitivity, each.consumable_cost), default=None)
    return [(best, None)] if best else []


def best_of_hubs(
    method: Method,
    methods: Mapping[str, Method],
    ways: Iterable[Way],
    running: Mapping[str, Mapping[int, str]],
    hubs: Mapping[str, Facility],
) -> list[Rival]:
    """The most sensitive method at a site that specimens reach in time, if it beats ``method``."""
    keeps = method.test.max_transport_hours
    rivals = [
        (-other.sensitivity, way.hours, way.destination, other)
        for way in ways
        if keeps is not None and way.hours is not None and way.hours <= keeps
        for other in [methods.get(running.get(way.destination, {}).get(method.test_id, ""))]
        if other is not None and other.sensitivity > method.sensitivity
    ]
    if not rivals:
        return []
    *_, site, best = min(rivals, key=lambda rival: rival[:3])
    return [(best, hubs[site])]
