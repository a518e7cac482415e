"""A filled survey workbook as rows of text."""

import io
import posixpath
import re
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any
from xml.etree import ElementTree

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook, SheetVisibleEnum

from apps.imports.adapters.cell_texts import ColumnTexts, text_of
from apps.imports.adapters.containers import DAMAGES, SAVE_AS, column_number, look_into
from apps.imports.adapters.sources import Fault, RefusedFileError, Source, SourceRow, SourceSheet
from apps.imports.adapters.tables import SURVEYED, TABLES, RegisterTable

MARK_SHEET = "_version"
KEY = re.compile(r"[0-9a-f]{20}")
NEW_WORKBOOK = "Get a new workbook, copy what was filled in, and upload that."
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def read_workbook(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """The sheets of the workbook ``content`` that are ours, each row as text.

    Raises ``RefusedFileError`` for what is unsafe, no workbook, or none of ours.
    """
    if not name.lower().endswith(".xlsx"):
        raise RefusedFileError(f"{name} is not named as a workbook (.xlsx) is.", remedy=SAVE_AS)
    contents = look_into(name, content)
    with _told_of(name):
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets, notes = _sheets(workbook, _formulas(content, contents.formulas))
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
    reader = _Rows(table, columns, heads, first_row + 2, first_column, formulas, merged)
    return SourceSheet(table, sheet.name, headings, reader.read(rows), sheet.height - 1)


def _columns(table: RegisterTable, heads: list[str]) -> list[str]:
    return [table.columns_by_heading.get(" ".join(head.split()).casefold(), "") for head in heads]


class _Rows:
    """Rows of one sheet, told apart from the cells that cannot be trusted."""

    def __init__(
        self,
        table: RegisterTable,
        columns: list[str],
        heads: list[str],
        first_line: int,
        first_column: int,
        formulas: frozenset[tuple[int, int]],
        merged: set[tuple[int, int]],
    ) -> None:
        self._line, self._formulas = first_line, formulas
        self._merged_lines = {row + 1 for row, _ in merged}
        self._places = [
            (at, column, heads[at], ColumnTexts(table.fields[column]), at + first_column)
            for at, column in enumerate(columns)
            if column
        ]
        self._formula_lines = {row for _, row in formulas}

    def read(self, rows: Iterator[list[Any]]) -> Iterator[SourceRow]:
        for line, row in enumerate(rows, self._line):
            cells = {
                column: read(value if type(value) is str and value.isalnum() else text_of(value))
                for at, column, _, read, _ in self._places
                if (value := row[at]) != ""
            }
            faults = self._faults(line, cells) if self._suspect(line) else ()
            if cells or faults:
                yield SourceRow(line, cells, faults)

    def _suspect(self, line: int) -> bool:
        return line in self._formula_lines or line in self._merged_lines

    def _faults(self, line: int, cells: Mapping[str, str]) -> tuple[Fault, ...]:
        faults = [
            Fault(
                head,
                cells.get(column, ""),
                "is a formula, whose result may be out of date",
                "Type the value itself, or paste it as a value.",
            )
            for _, column, head, _, at in self._places
            if (at + 1, line) in self._formulas
        ]
        if line in self._merged_lines:
            faults.append(
                Fault("", "", "is merged with other cells", "Part the cells, and fill in each.")
            )
        return tuple(faults)


def _formulas(
    content: bytes, found: Mapping[str, frozenset[tuple[str, int]]]
) -> dict[str, frozenset[tuple[int, int]]]:
    """Cells with formulas, column and row from 1, by the name of the sheet."""
    if not found:
        return {}
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        # Nothing here declares entities: ``look_into`` has refused such files.
        relations = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))  # noqa: S314
        book = ElementTree.fromstring(archive.read("xl/workbook.xml"))  # noqa: S314
    targets = {
        each.get("Id"): posixpath.normpath(posixpath.join("xl", each.get("Target", "")))
        for each in relations
    }
    members = {
        each.get("name", ""): targets.get(each.get(RELATION), "").removeprefix("/")
        for each in book.iter()
        if each.tag.endswith("}sheet")
    }
    return {
        name: frozenset((column_number(column), row) for column, row in found[member])
        for name, member in members.items()
        if member in found
    }


def _key(workbook: CalamineWorkbook) -> str:
    """The version mark; empty where there is none. One that is spoiled names no workbook."""
    if MARK_SHEET not in workbook.sheet_names:
        return ""
    rows = workbook.get_sheet_by_name(MARK_SHEET).to_python()
    marked = text_of(rows[0][0]) if rows and rows[0] else ""
    return marked if KEY.fullmatch(marked) else "spoiled"
