import gzip
from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery

from apps.catalogue.models import LabTest
from apps.coverage.models import Assessment, Document, Finding
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import district_of, districts_for, facilities_for


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


def read_document(sha256: str) -> bytes:
    """The canonical JSON kept under ``sha256``; raises ``Document.DoesNotExist``."""
    return gzip.decompress(bytes(Document.objects.get(pk=sha256).content))


def latest_assessment(area: Area) -> Assessment | None:
    """The newest assessment of ``area``, if there is one; one query."""
    return Assessment.objects.filter(area=area).select_related("area", "made_by").first()


def findings_for(user: Any) -> QuerySet[Finding]:
    """Findings that ``user`` may see, of the latest assessment of each district; three queries."""
    newest = Assessment.objects.filter(area=OuterRef("pk")).values("pk")[:1]
    latest = districts_for(user).annotate(latest=Subquery(newest)).values("latest")
    return Finding.objects.filter(
        assessment__in=latest, facility__in=facilities_for(user).order_by()
    ).select_related("facility__area", "test__programme", "referred_to")


def findings_at(user: Any, facility: Facility) -> QuerySet[Finding]:
    """What ``facility`` can do about each test, by the latest assessment of its district.

    Nothing where ``user`` may not see the facility. A constant number of queries.
    """
    assessment = latest_assessment(district_of(facility.area))
    visible = facilities_for(user).filter(pk=facility.pk)
    return Finding.objects.filter(assessment=assessment, facility__in=visible).select_related(
        "facility__area", "test__programme", "referred_to"
    )


def findings_across(user: Any, district: Area, test_code: str) -> list[Finding]:
    """What each facility of ``district`` can do about one test, with all that a page needs.

    Of the latest assessment and of what ``user`` may see; empty where there is none. A
    constant number of queries.
    """
    found = findings_for(user).filter(assessment__area=district, test__code=test_code)
    return list(
        found.select_related("facility__area", "test__programme", "referred_to", "assessment")
    )


def tallies(assessment: Assessment) -> dict[int, dict[str, int]]:
    """How many tests are in each state at each facility, by the facility's key; one query."""
    counted: dict[int, dict[str, int]] = {}
    states = assessment.findings.order_by().values_list("facility", "state").annotate(Count("pk"))
    for facility, state, tests in states:
        counted.setdefault(facility, {})[state] = tests
    return counted


def grid(
    user: Any,
    district: Area,
    *,
    programme: str | None = None,
    level: int | None = None,
    block: str | None = None,
    state: str | None = None,
    test: str | None = None,
) -> Grid:
    """The latest assessment of ``district`` as a grid of what ``user`` may see.

    The filters are the codes of a programme, a block and a test, a level of care and a state.
    With ``state`` only the facilities and tests stay where it occurs.
    Five queries, however many facilities and tests; ``detail`` of a cell is not loaded.
    """
    assessment = latest_assessment(district)
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
