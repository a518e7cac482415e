"""A filled survey workbook as rows of text."""

import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any
from xml.etree import ElementTree

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook, SheetVisibleEnum

from apps.imports.adapters.cell_texts import text_of
from apps.imports.adapters.containers import DAMAGES, SAVE_AS, look_into
from apps.imports.adapters.sources import RefusedFileError, Source, SourceSheet
from apps.imports.adapters.tables import SURVEYED, TABLES, RegisterTable
from apps.imports.adapters.workbook_formulas import formulas_by_sheet
from apps.imports.adapters.workbook_rows import Rows

MARK_SHEET = "_version"
KEY = re.compile(r"[0-9a-f]{20}")
NEW_WORKBOOK = "Get a new workbook, copy what was filled in, and upload that."


def read_workbook(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """The sheets of the workbook ``content`` that are ours, each row as text.

    Raises ``RefusedFileError`` for what is unsafe, no workbook, or none of ours.
    """
    if not name.lower().endswith(".xlsx"):
        raise RefusedFileError(f"{name} is not named as a workbook (.xlsx) is.", remedy=SAVE_AS)
    contents = look_into(name, content)
    with _told_of(name):
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets, notes = _sheets(workbook, formulas_by_sheet(content, contents.formulas))
        key = _key(workbook)
    if not sheets:
        titles = ", ".join(TABLES[file].title for file in SURVEYED)
        raise RefusedFileError(
            f"{name} has no sheet that is known here, expected some of {titles}.",
            remedy=NEW_WORKBOOK,
        )
    return Source(tuple(sheets), key, tuple(notes))


@contextmanager
def _told_of(name: str) -> Iterator[None]:
    """Whatever goes wrong with reading ``name`` is a mistake of the file, and told as such."""
    try:
        yield
    except (CalamineError, ElementTree.ParseError, *DAMAGES) as error:
        raise RefusedFileError(f"{name} cannot be read ({error}).", remedy=SAVE_AS) from error
    except BaseException as error:
        # The library is compiled; a mistake of its own comes as something that is no Exception.
        if type(error).__name__ != "PanicException":
            raise
        raise RefusedFileError(f"{name} cannot be read.", remedy=SAVE_AS) from error


def _sheets(
    workbook: CalamineWorkbook, formulas: Mapping[str, frozenset[tuple[int, int]]]
) -> tuple[list[SourceSheet], list[str]]:
    by_title = {table.title.casefold(): table for table in TABLES.values()}
    found, notes = {}, []
    for meta in workbook.sheets_metadata:
        table = by_title.get(meta.name.strip().casefold())
        if meta.visible != SheetVisibleEnum.Visible:
            if table:
                notes.append(f"The sheet {meta.name} is hidden and was not read.")
        elif table:
            sheet = workbook.get_sheet_by_name(meta.name)
            found[table.file] = _sheet(table, sheet, formulas.get(meta.name, frozenset()), notes)
        elif meta.name != "Instructions":
            notes.append(f"The sheet {meta.name} is not one of ours and was not read.")
    # In the order in which they build on each other, whatever the order in the file.
    return [found[file] for file in TABLES if found.get(file)], notes


def _sheet(
    table: RegisterTable,
    sheet: CalamineSheet,
    formulas: frozenset[tuple[int, int]],
    notes: list[str],
) -> SourceSheet | None:
    if sheet.start is None:
        return None
    first_row, first_column = sheet.start
    rows = sheet.iter_rows()
    heads = [text_of(value) for value in next(rows)]
    columns = _columns(table, heads)
    unknown = [head for head, column in zip(heads, columns, strict=True) if head and not column]
    if unknown:
        notes.append(f"{sheet.name}: the column {', '.join(unknown)} is not known, nor read.")
    named = [column for column in columns if column]
    missing = [
        name
        for name in table.sheet.columns
        if name not in named and name not in table.sheet.optional
    ]
    if missing or len(set(named)) < len(named):
        wrong = ", ".join(table.heading(name) for name in missing)
        said = f"The column {wrong} is missing" if missing else "A column stands twice"
        raise RefusedFileError(
            f"Sheet {sheet.name}, row {first_row + 1}: {said}.",
            remedy="Put the headings back as they were, or get a new workbook.",
        )
    headings = {column: head for column, head in zip(columns, heads, strict=True) if column}
    merged = {
        (row, column)
        for (top, left), (bottom, right) in sheet.merged_cell_ranges or ()
        for row in range(top, min(bottom, top + 1000) + 1)
        for column in range(left, min(right, left + 100) + 1)
    }
    reader = Rows(table, columns, heads, first_row + 2, first_column, formulas, merged)
    return SourceSheet(table, sheet.name, headings, reader.read(rows), sheet.height - 1)


def _columns(table: RegisterTable, heads: list[str]) -> list[str]:
    return [table.columns_by_heading.get(" ".join(head.split()).casefold(), "") for head in heads]


def _key(workbook: CalamineWorkbook) -> str:
    """The version mark; empty where there is none. One that is spoiled names no workbook."""
    if MARK_SHEET not in workbook.sheet_names:
        return ""
    rows = workbook.get_sheet_by_name(MARK_SHEET).to_python()
    marked = text_of(rows[0][0]) if rows and rows[0] else ""
    return marked if KEY.fullmatch(marked) else "spoiled"
