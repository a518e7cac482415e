"""What one method finds and misses at one site, worked out by the engine."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from apps.catalogue.models import LabTest, Method
from apps.coverage.selectors.rivals import Rival
from apps.demand.selectors.prevalences import Prevalence
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


def without_interval(method: Method) -> tuple[Estimate, Estimate]:
    """Sensitivity and specificity as the catalogue has them, intervals not known."""
    specificity = NAN if method.specificity is None else method.specificity
    return estimate(method.sensitivity), estimate(specificity)


def accuracy_here(
    method: Method,
    accuracy: tuple[Estimate, Estimate],
    prevalence: Prevalence | None,
    tests_per_year: float | None,
    rivals: Sequence[Rival],
) -> AccuracyHere:
    """``method`` with its ``accuracy`` (sensitivity, specificity) at a prevalence; no query."""
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
