"""How well a site tests: what its methods find and miss where it is."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from apps.catalogue.models import LabTest, Method, Study
from apps.coverage.models import Assessment
from apps.coverage.selectors.rivals import Rival, best_of_catalogue, best_of_hubs, running_at
from apps.coverage.selectors.ways import Way
from apps.demand.models import Demand
from apps.demand.selectors.prevalences import Prevalence, prevalences_at
from apps.facilities.models import Facility
from planner.engine.accuracy import (
    Choice,
    Estimate,
    compare,
    estimate,
    outcomes,
    predictive_values,
)

NAN = float("nan")


@dataclass(frozen=True)
class Figure:
    """A share of 0 to 1 and its 95 % interval; ``None`` is not known."""

    value: float | None
    low: float | None
    high: float | None

    @property
    def has_interval(self) -> bool:
        return self.low is not None and self.high is not None


@dataclass(frozen=True)
class Better:
    """A method with a higher sensitivity, and what it would change in a year.

    ``site``: where it runs, within the time that the specimen keeps; ``None`` for the best
    of the catalogue, wherever it runs. ``cost_per_extra_case``: in consumables; below 0 it
    is the better and the cheaper one. ``None``: not known, or nothing more is found.
    """

    method: Method
    site: Facility | None
    missed: float | None
    fewer_missed: float | None
    cost_per_extra_case: float | None


@dataclass(frozen=True)
class AccuracyHere:
    """One test that a site runs, by the best method that runs there; numbers a year."""

    test: LabTest
    method: Method
    sensitivity: Figure
    specificity: Figure
    prevalence: Prevalence | None
    tests_per_year: float | None
    positive_is_right: Figure
    negative_is_right: Figure
    by_corners: bool
    missed: float | None
    false_alarms: float | None
    better: tuple[Better, ...]


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
            _here(
                method,
                intervals.get(method.pk, _no_interval(method)),
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
    found = {pk: _no_interval(method) for pk, method in by_id.items()}
    for study in Study.objects.filter(method__in=by_id).order_by("code"):
        method, (se, sp) = by_id[study.method_id], found[study.method_id]
        if study.sensitivity == method.sensitivity and study.sensitivity_low is not None:
            se = estimate(study.sensitivity, study.sensitivity_low, study.sensitivity_high)
        if study.specificity == method.specificity and study.specificity_low is not None:
            sp = estimate(study.specificity, study.specificity_low, study.specificity_high)
        found[study.method_id] = se, sp
    return found


def _no_interval(method: Method) -> tuple[Estimate, Estimate]:
    specificity = NAN if method.specificity is None else method.specificity
    return estimate(method.sensitivity), estimate(specificity)


def _here(
    method: Method,
    accuracy: tuple[Estimate, Estimate],
    prevalence: Prevalence | None,
    tests_per_year: float | None,
    rivals: Sequence[Rival],
) -> AccuracyHere:
    se, sp = accuracy
    share = _prevalence(prevalence)
    tests = NAN if tests_per_year is None else tests_per_year
    values = predictive_values(se, sp, share)
    expected = outcomes(tests, share.value, se.value, sp.value)
    return AccuracyHere(
        test=method.test,
        method=method,
        sensitivity=_figure(se),
        specificity=_figure(sp),
        prevalence=prevalence,
        tests_per_year=tests_per_year,
        positive_is_right=_figure(values.positive),
        negative_is_right=_figure(values.negative),
        by_corners=bool(values.by_corners),
        missed=_known(expected.false_negative),
        false_alarms=_known(expected.false_positive),
        better=tuple(_better(method, rival, site, tests, share) for rival, site in rivals),
    )


def _better(
    method: Method, rival: Method, site: Facility | None, tests: float, share: Estimate
) -> Better:
    found = compare(
        tests,
        share.value,
        cheaper=Choice(method.sensitivity, cost_per_test=float(method.consumable_cost)),
        reference=Choice(rival.sensitivity, cost_per_test=float(rival.consumable_cost)),
    )
    return Better(
        method=rival,
        site=site,
        missed=_known(found.missed.by_reference),
        fewer_missed=_known(found.missed.more),
        cost_per_extra_case=_known(found.cost_per_extra_case_found),
    )


def _prevalence(known: Prevalence | None) -> Estimate:
    if known is None:
        return estimate(NAN)
    row = known.row
    ends = (NAN, NAN) if row.low is None else (row.low, row.high)
    return estimate(row.share, *ends)


def _figure(of: Estimate) -> Figure:
    return Figure(_known(of.value), _known(of.low), _known(of.high))


def _known(value: Any) -> float | None:
    number = float(value)
    return None if np.isnan(number) else number
