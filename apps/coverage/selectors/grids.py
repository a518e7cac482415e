import datetime as dt
from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from apps.catalogue.models import LabTest
from apps.coverage.models import Assessment, Finding
from apps.coverage.selectors.findings import assessment_on, latest_assessment
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import facilities_for


@dataclass(frozen=True)
class GridRow:
    """One facility, with a cell for each test of the grid; ``None`` where nothing was found."""

    facility: Facility
    cells: list[Finding | None]


@dataclass(frozen=True)
class Grid:
    """What each site can do: rows are facilities, columns are tests, cells are findings.

    ``counts`` says how many cells of each state there are among the facilities and tests
    that the other filters leave, so that a choice of states can be offered with its numbers.
    """

    assessment: Assessment | None
    tests: list[LabTest]
    rows: list[GridRow]
    counts: dict[str, int]


def grid(
    user: Any,
    district: Area,
    *,
    programme: str | None = None,
    level: int | None = None,
    block: str | None = None,
    state: str | None = None,
    test: str | None = None,
    on: dt.date | None = None,
) -> Grid:
    """The latest assessment of ``district`` as a grid of what ``user`` may see.

    ``on``: the latest that was made on that day or before, instead of the latest of all.
    The filters are the codes of a programme, a block and a test, a level of care and a state.
    With ``state`` only the facilities and tests stay where it occurs.
    Five queries, however many facilities and tests; ``detail`` of a cell is not loaded.
    """
    assessment = assessment_on(district, on) if on else latest_assessment(district)
    tests = list(_tests(programme, test))
    found = Finding.objects.filter(
        assessment=assessment, test__in=[lab_test.pk for lab_test in tests]
    )
    facilities = list(_facilities(user, district, level, block))
    cells: dict[int, dict[int, Finding]] = {facility.pk: {} for facility in facilities}
    for finding in found.defer("detail").select_related("referred_to"):
        if finding.facility_id in cells:
            cells[finding.facility_id][finding.test_id] = finding
    rows = [
        GridRow(facility, [cells[facility.pk].get(lab_test.pk) for lab_test in tests])
        for facility in facilities
    ]
    counts = Counter(cell.state for row in rows for cell in row.cells if cell)
    if state:
        tests, rows = _where(state, tests, rows)
    return Grid(assessment, tests, rows, dict(counts))


def _where(
    state: str, tests: list[LabTest], rows: list[GridRow]
) -> tuple[list[LabTest], list[GridRow]]:
    """The columns and rows with at least one cell of ``state``."""

    def has(row: GridRow, column: int) -> bool:
        cell = row.cells[column]
        return cell is not None and cell.state == state

    columns = [at for at in range(len(tests)) if any(has(row, at) for row in rows)]
    kept = [row for row in rows if any(has(row, at) for at in columns)]
    narrowed = [GridRow(row.facility, [row.cells[at] for at in columns]) for row in kept]
    return [tests[at] for at in columns], narrowed


def _tests(programme: str | None, test: str | None) -> QuerySet[LabTest]:
    tests = LabTest.objects.select_related("programme").order_by("programme__code", "code")
    if programme:
        tests = tests.filter(programme__code=programme)
    return tests.filter(code=test) if test else tests


def _facilities(
    user: Any, district: Area, level: int | None, block: str | None
) -> QuerySet[Facility]:
    facilities = facilities_for(user).within(district.path)
    if level:
        facilities = facilities.filter(level=level)
    if block:
        facilities = facilities.filter(area__code=block)
    return facilities.order_by("area__code", "-level", "code")
