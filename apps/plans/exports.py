"""The answer of a run as files."""

import io
from typing import Any

import xlsxwriter

from apps.audit.exports import csv_text
from apps.coverage.selectors import read_document
from apps.plans.models import Line, Run
from apps.plans.selectors import lines_of

LINE_COLUMNS = (
    "facility", "facility_name", "area", "kind", "item", "item_name", "quantity", "cost",
    "currency", "tests_per_year", "reason",
)  # fmt: skip
LINE_WIDTHS = (16, 24, 16, 10, 24, 30, 10, 14, 10, 16, 90)
COVERAGE_COLUMNS = ("scope", "code", "name", "share_before", "share_after")
BUDGET_COLUMNS = (
    "budget", "share_at_least", "share_at_most", "next_1000_at_least", "next_1000_at_most",
)  # fmt: skip


def lines_csv(run: Run) -> str:
    """The actions of ``run`` with cost and reason, a line each."""
    return csv_text(LINE_COLUMNS, (_line(run, line) for line in lines_of(run)))


def lines_xlsx(run: Run) -> bytes:
    """The actions of ``run`` as a workbook: one sheet with a filter and a fixed heading."""
    content = io.BytesIO()
    # Text stays text: a name that starts with = is no formula, an address no link.
    options = {"strings_to_formulas": False, "strings_to_urls": False, "in_memory": True}
    with xlsxwriter.Workbook(content, options) as book:
        sheet = book.add_worksheet("Actions")
        heading = book.add_format({"bold": True, "bottom": 1})
        wrapped = book.add_format({"text_wrap": True, "valign": "top"})
        for column, width in enumerate(LINE_WIDTHS):
            sheet.set_column(column, column, width, wrapped)
        sheet.write_row(0, 0, LINE_COLUMNS, heading)
        last = 0
        for last, line in enumerate(lines_of(run), start=1):
            sheet.write_row(last, 0, _line(run, line))
        sheet.freeze_panes(1, 0)
        sheet.autofilter(0, 0, last, len(LINE_COLUMNS) - 1)
    return content.getvalue()


def coverage_csv(run: Run) -> str:
    """Shares (0 to 1) of yearly demand met today and with the plan: all, by area, by programme."""
    coverage = run.summary["coverage"]
    whole = (
        "district",
        run.plan.area.code,
        run.plan.area.name,
        coverage["before"]["tests_met_share"],
        coverage["after"]["tests_met_share"],
    )
    parts = [
        (scope, part["code"], part["name"], part["before"], part["after"])
        for scope, key in (("area", "areas"), ("programme", "programmes"))
        for part in coverage[key]
    ]
    return csv_text(COVERAGE_COLUMNS, [whole, *parts])


def budgets_csv(run: Run) -> str:
    """Each budget with the share (0 to 1, weighted) that a plan reaches and none exceeds, and
    how many more weighted tests a year 1,000 more bring; empty below the heading without any.
    """
    frontier = run.summary.get("frontier", {"points": [], "steps": []})
    steps = {step["start"]: (step["least"], step["most"]) for step in frontier["steps"]}
    return csv_text(
        BUDGET_COLUMNS,
        [
            (
                point["budget"],
                point["share"],
                point["bound"],
                *steps.get(point["budget"], (None, None)),
            )
            for point in frontier["points"]
        ],
    )


def result_json(run: Run) -> bytes:
    """The result as it was kept: canonical JSON, whose SHA-256 is ``run.result_id``."""
    return read_document(run.result_id)


def case_json(run: Run) -> bytes:
    """The case that ``run`` was computed from: canonical JSON under ``run.case_id``."""
    return read_document(run.case_id)


def _line(run: Run, line: Line) -> tuple[Any, ...]:
    facility = line.facility
    return (
        facility.code,
        facility.name,
        facility.area.code,
        line.kind,
        line.item_code,
        line.item_name,
        line.quantity,
        float(line.cost),
        run.plan.area.currency,
        line.tests_per_year,
        line.reason,
    )
