"""The answer of a run as files, read back by other programs' readers."""

import csv
import hashlib
import io

import openpyxl
import pytest

from apps.plans import exports
from apps.plans.models import Run
from apps.plans.services import compute_run
from tests.factories.plans import make_run

COLUMNS = [
    "facility", "facility_name", "area", "kind", "item", "item_name", "quantity", "cost",
    "currency", "tests_per_year", "reason",
]  # fmt: skip


@pytest.fixture
def run(plan, small) -> Run:
    # A name that spreadsheet programs would run.
    small.spinner.name = '=HYPERLINK("http://example.org")'
    small.spinner.save()
    run = make_run(plan)
    compute_run(run.pk)
    run.refresh_from_db()
    return run


def rows_of_csv(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))


def expected(run: Run) -> list[list]:
    return [
        [line.facility.code, line.facility.name, "upper", line.kind, line.item_code,
         line.item_name, 1, float(line.cost), "EUR", 500.0, line.reason]
        for line in run.lines.all()
    ]  # fmt: skip


def test_the_actions_as_csv_are_those_of_the_run_with_text_kept_as_text(run):
    head, *rows = rows_of_csv(exports.lines_csv(run))

    assert head == COLUMNS
    kept = [[str(value) for value in row] for row in expected(run)]
    kept[0][5] = f"'{kept[0][5]}"
    assert rows == kept
    assert kept[0][5] == '\'=HYPERLINK("http://example.org")'


def test_the_actions_as_a_workbook_are_those_of_the_run_without_formulas_or_links(run):
    book = openpyxl.load_workbook(io.BytesIO(exports.lines_xlsx(run)))

    [sheet] = book.worksheets
    head, *rows = ([cell.value for cell in row] for row in sheet.iter_rows())
    assert (sheet.title, head, rows) == ("Actions", COLUMNS, expected(run))
    cells = [cell for row in sheet.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} == {"s", "n"}
    assert not any(cell.hyperlink for cell in cells)


def test_a_plan_without_actions_is_a_file_with_a_heading(run):
    run.lines.all().delete()

    assert rows_of_csv(exports.lines_csv(run)) == [COLUMNS]
    sheet = openpyxl.load_workbook(io.BytesIO(exports.lines_xlsx(run))).active
    assert sheet.max_row == 1


def test_coverage_before_and_after_is_a_line_for_the_whole_each_area_and_each_programme(run):
    head, *rows = rows_of_csv(exports.coverage_csv(run))

    assert head == ["scope", "code", "name", "share_before", "share_after"]
    assert [(*row[:3], round(float(row[3]), 3), round(float(row[4]), 3)) for row in rows] == [
        ("district", "north", "North", 0.333, 0.667),
        ("area", "upper", "Upper block", 0.333, 0.667),
        ("programme", "general", "General", 0.333, 0.667),
        ("programme", "maternal", "Maternal", 0, 0),
    ]


def test_the_documents_are_the_bytes_that_their_digests_name(run):
    digests = [
        hashlib.sha256(content).hexdigest()
        for content in (exports.case_json(run), exports.result_json(run))
    ]

    assert digests == [run.case_id, run.result_id]
