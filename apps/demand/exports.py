"""Estimates of demand as a file."""

from collections.abc import Iterable
from typing import Any

from apps.audit.exports import csv_text
from apps.demand.selectors import Estimate
from planner.engine.demand import BASES

COLUMNS = (
    "facility", "facility_name", "area", "level", "test", "test_name", "programme", "adopted",
    "adopted_basis", "adopted_year", "people", *BASES, "go_by", "go_by_tests_per_year", "weak",
    "largest_over_smallest", "go_by_over_adopted", "flagged",
)  # fmt: skip


def estimates_csv(estimates: Iterable[Estimate]) -> str:
    """A line for each facility and test; tests a year, empty where nothing is known."""
    return csv_text(COLUMNS, map(_line, estimates))


def _line(estimate: Estimate) -> tuple[Any, ...]:
    facility, test, adopted = estimate.facility, estimate.test, estimate.adopted
    said = {figure.basis: figure.tests_per_year for figure in estimate.figures}
    chosen = estimate.chosen
    return (
        facility.code,
        facility.name,
        facility.area.code,
        facility.level,
        test.code,
        test.name,
        test.programme.code,
        adopted.tests_per_year if adopted else None,
        adopted.basis if adopted else None,
        adopted.year if adopted else None,
        estimate.people,
        *(_rounded(said.get(basis)) for basis in BASES),
        chosen.basis if chosen else None,
        _rounded(chosen.tests_per_year) if chosen else None,
        "yes" if estimate.is_weak else "no",
        _rounded(estimate.spread),
        _rounded(estimate.of_adopted),
        "yes" if estimate.is_flagged else "no",
    )


def _rounded(figure: float | None) -> float | None:
    """Two decimals say all that an estimate can."""
    return None if figure is None else round(figure, 2)
