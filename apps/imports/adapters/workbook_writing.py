"""A workbook of tables, with what is known filled in, to be looked at or to be filled in."""

import io
from collections.abc import Iterable, Sequence
from typing import Any

from xlsxwriter import Workbook as Book

from apps.imports.adapters.cells import expected
from apps.imports.adapters.tables import RegisterTable
from apps.imports.adapters.workbook_lists import Lists
from apps.imports.adapters.workbook_reading import MARK_SHEET
from apps.imports.adapters.workbook_sheets import Formats, TableSheet, print_on_a4

LISTS_SHEET = "_lists"
MARK_PROPERTY = "version_mark"
MANY_ROWS = 20_000
"""From here on rows go to disk as they are written, and no text is kept in memory."""
# Text is text: a value that starts with = is no formula, and one like an address no link.
SAFE = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}

STEPS = (
    "Fill in the white cells. Grey cells tell which row it is; leave them as they are.",
    "Leave a cell empty where the answer is not known: unknown is not the same as none.",
    "Choose from the list where a cell has an arrow. Write dates as 2026-01-31.",
    "To add something, use the first empty row below. Give it a code that is not taken:"
    " lower-case letters, digits and hyphens.",
    "To say that something is gone, change its condition. Rows are never removed by a workbook.",
    "Keep the names of the sheets and the headings in the first row. Columns may be left out of"
    " sight, not out of the file.",
    "When you are done, save the workbook and upload it under “What is there?”, “Workbooks and"
    " uploads”. You see every change before it is made.",
)


class SurveyBook:
    """Builds one workbook; ``content`` ends it. ``protect``: it is to be filled in."""

    def __init__(self, about: str, lists: Lists, *, row_count: int, protect: bool = True) -> None:
        self._file = io.BytesIO()
        self._about, self._lists, self._protect = about, lists, protect
        self._book = Book(self._file, {**SAFE, "constant_memory": row_count > MANY_ROWS})
        self._formats = Formats(self._book)

    def instruct(self, tables: Iterable[RegisterTable], made: str) -> None:
        """The first sheet: what to do, and what each column means."""
        sheet, formats = self._book.add_worksheet("Instructions"), self._formats
        sheet.set_column(0, 0, 20)
        sheet.set_column(1, 1, 30)
        sheet.set_column(2, 2, 78)
        sheet.write_string(0, 0, f"Survey workbook: {self._about}", formats.title)
        sheet.write_string(1, 0, made)
        at = 3
        for number, step in enumerate(STEPS, 1):
            sheet.set_row(at, 15 if len(step) < 110 else 30)
            sheet.merge_range(at, 0, at, 2, f"{number}. {step}", formats.wrapped)
            at += 1
        at += 1
        for place, head in enumerate(("Sheet", "Column", "What to write")):
            sheet.write_string(at, place, head, formats.head)
        for table in tables:
            for name, field in table.fields.items():
                at += 1
                said = str(field.help_text)
                chosen = "one of the list" if self._lists.name(table, name) else expected(field)
                means = f"{said[:1].upper()}{said[1:]}. " if said else ""
                sheet.write_string(at, 0, table.title, formats.wrapped)
                sheet.write_string(at, 1, table.heading(name), formats.wrapped)
                text = f"{means}{chosen[:1].upper()}{chosen[1:]}."
                sheet.write_string(at, 2, text, formats.wrapped)
        print_on_a4(sheet, self._about)

    def add(self, table: RegisterTable, rows: Iterable[Sequence[Any]]) -> None:
        """A sheet with ``rows``, values in the order of the table's columns."""
        sheet = TableSheet(self._book, self._formats, table, self._lists, protect=self._protect)
        sheet.write(rows)
        sheet.finish(self._about)

    def mark(self, key: str, made: str, sha256: str) -> None:
        """What the workbook was made from: out of sight, and in its properties."""
        sheet = self._book.add_worksheet(MARK_SHEET)
        sheet.very_hidden()
        for at, text in enumerate((key, made, sha256)):
            sheet.write_string(at, 0, text)
        self._book.set_custom_property(MARK_PROPERTY, key)

    def content(self) -> bytes:
        if self._protect:
            self._write_lists()
        self._book.set_properties({"title": self._about})
        self._book.close()
        return self._file.getvalue()

    def _write_lists(self) -> None:
        sheet = self._book.add_worksheet(LISTS_SHEET)
        sheet.very_hidden()
        entries = sorted(self._lists.entries.items())
        # Row by row, since rows that were passed may be on disk already.
        longest = max((len(texts) for _, texts in entries), default=0)
        for row in range(longest):
            for at, (_, texts) in enumerate(entries):
                if row < len(texts):
                    sheet.write_string(row, at, texts[row])
        for at, (name, texts) in enumerate(entries):
            column = chr(ord("A") + at)
            last = max(len(texts), 1)
            self._book.define_name(name, f"='{LISTS_SHEET}'!${column}$1:${column}${last}")
