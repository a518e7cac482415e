"""Estimates of demand in words: each figure with its formula, and what does not fit."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.demand.choices import DemandBasis
from apps.demand.selectors import Adoption, Estimate, Figure
from apps.web.estimates.formulas import doubt_of, formula_of
from apps.web.figures import figures
from planner.engine.demand import BASES

EXACT_BELOW = 10


@dataclass(frozen=True)
class Said:
    """One way of estimating: what it comes to, how, and why it is not to be relied on."""

    basis: str
    words: str
    tests_per_year: float | None
    formula: str
    doubt: str
    is_chosen: bool


@dataclass(frozen=True)
class Line:
    """One facility and test. ``said`` in the order of ``COLUMNS``, ``None`` without a record."""

    estimate: Estimate
    said: tuple[Said | None, ...]
    flag: str

    @property
    def ratio(self) -> str:
        spread = self.estimate.spread
        return times(spread) if spread is not None else ""


@dataclass(frozen=True)
class AdoptionLine:
    """One figure that would be adopted, and what stands there now (``None``: nothing)."""

    estimate: Estimate
    basis: str
    before: float | None
    after: float


COLUMNS = tuple(DemandBasis(basis).label for basis in BASES)


def line_of(estimate: Estimate) -> Line:
    """``estimate`` ready to be shown."""
    by_basis = {figure.basis: figure for figure in estimate.figures}
    said = (by_basis.get(basis) for basis in BASES)
    return Line(
        estimate, tuple(_said(estimate, each) if each else None for each in said), _flag(estimate)
    )


def lines_of(estimates: Iterable[Estimate]) -> list[Line]:
    """Those that are flagged first, then those with most tests at stake."""
    ordered = sorted(estimates, key=lambda each: (not each.is_flagged, -each.at_stake))
    return [line_of(each) for each in ordered]


def adoption_lines(adoption: Adoption, estimates: Iterable[Estimate]) -> list[AdoptionLine]:
    """What ``adoption`` would change of ``estimates``, the largest change first."""
    by_cell = {(each.facility.code, each.test.code): each for each in estimates}
    lines = [
        AdoptionLine(by_cell[cell], DemandBasis(basis).label, before, after)
        for cell, (before, (after, basis, _)) in adoption.rows.items()
    ]
    return sorted(lines, key=lambda line: -abs(line.after - (line.before or 0)))


def times(ratio: float) -> str:
    """``2.9 ×``; ``∞`` where one of the two is none."""
    if ratio == float("inf"):
        return "∞"
    return f"{figures(ratio, 1 if ratio < EXACT_BELOW else 0)}\N{NO-BREAK SPACE}×"


def summary(estimates: Iterable[Estimate]) -> dict[str, Any]:
    """How many cells there are, can be compared, and do not fit."""
    found = list(estimates)
    return {
        "cells": len(found),
        "compared": sum(each.spread is not None for each in found),
        "flagged": sum(each.is_flagged for each in found),
        "asked": sum(each.adopted.tests_per_year for each in found if each.adopted),
    }


def _said(estimate: Estimate, figure: Figure) -> Said:
    return Said(
        basis=figure.basis,
        words=DemandBasis(figure.basis).label,
        tests_per_year=figure.tests_per_year,
        formula=formula_of(estimate, figure),
        doubt=doubt_of(figure),
        is_chosen=estimate.chosen is figure,
    )


def _flag(estimate: Estimate) -> str:
    if estimate.disagrees:
        return gettext("The estimates are %(times)s apart.") % {"times": times(estimate.spread)}
    if estimate.is_off:
        return gettext("The figure to go by is %(times)s the adopted one.") % {
            "times": times(estimate.of_adopted)
        }
    return ""
