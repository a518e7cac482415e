"""One sheet of a workbook: headings, what is known, what may be typed, how it prints."""

import datetime as dt
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django.db.models import DateField, FloatField, IntegerField
from xlsxwriter.workbook import Workbook as Book
from xlsxwriter.worksheet import Worksheet

from apps.imports.adapters.tables import RegisterTable
from apps.imports.adapters.workbook_lists import Lists
from apps.imports.adapters.workbook_rules import rule

SPARE_ROWS, SPARE_ROWS_PRINTED = 500, 12
A4, NARROW, WIDE, WIDEST = 9, 12, 18, 34
PAGE_WIDTH = 200
"""Characters across a page of A4 that is still read easily."""
DATES = "yyyy-mm-dd"


class Formats:
    """How cells look: what may be changed is white, what may not is grey."""

    def __init__(self, book: Book) -> None:
        thin = {"border": 1, "border_color": "#BFC6CE", "valign": "top"}
        self.head = book.add_format(
            {**thin, "bold": True, "text_wrap": True, "bg_color": "#DDE5EC", "locked": True}
        )
        grey = {**thin, "bg_color": "#F0F2F4", "font_color": "#3A4552", "locked": True}
        self.locked, self.locked_date = (
            book.add_format(grey), book.add_format({**grey, "num_format": DATES})
        )  # fmt: skip
        self.open = book.add_format({**thin, "locked": False})
        self.open_text = book.add_format({**thin, "locked": False, "num_format": "@"})
        self.open_date = book.add_format({**thin, "locked": False, "num_format": DATES})
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
        self.wrapped = book.add_format({"text_wrap": True, "valign": "top"})


class TableSheet:
    """Writes the rows of one table, in order, into one sheet."""

    def __init__(
        self, book: Book, formats: Formats, table: RegisterTable, lists: Lists, *, protect: bool
    ) -> None:
        self._sheet: Worksheet = book.add_worksheet(table.title)
        self._formats, self._table, self._lists, self._protect = formats, table, lists, protect
        self._columns = [_Column(table, name, lists, formats) for name in table.sheet.columns]
        self._at = 0
        for at, column in enumerate(self._columns):
            self._sheet.set_column(at, at, column.width, column.open)
            self._sheet.write_string(0, at, column.heading, formats.head)

    def write(self, rows: Iterable[Sequence[Any]]) -> None:
        """Add rows of values in the order of the sheet's columns; keys of known rows are locked."""
        sheet, columns = self._sheet, self._columns
        string, number = sheet.write_string, sheet.write_number
        for row in rows:
            self._at += 1
            at = self._at
            for place, column in enumerate(columns):
                value = row[place]
                look = column.locked if column.is_key else column.open
                if column.shown is not None and value is not None:
                    value = column.shown.get(value, value)
                if value is None or value == "":
                    if column.is_key:
                        sheet.write_blank(at, place, None, look)
                elif isinstance(value, str):
                    string(at, place, value, look)
                elif isinstance(value, dt.date):
                    sheet.write_datetime(at, place, value, column.locked_date)
                elif isinstance(value, bool):
                    sheet.write_boolean(at, place, value, look)
                else:
                    number(at, place, float(value) if isinstance(value, Decimal) else value, look)

    def finish(self, about: str) -> None:
        """What may be typed, and the page: A4 landscape, headings on every page."""
        sheet, last = self._sheet, self._at + SPARE_ROWS
        wide = len(self._columns) - 1
        if self._protect:
            for at, column in enumerate(self._columns):
                if options := column.rule:
                    sheet.data_validation(1, at, last, at, {**options, "ignore_blank": True})
            sheet.protect(
                "",
                {
                    "format_columns": True,
                    "format_rows": True,
                    "autofilter": True,
                    "select_locked_cells": True,
                },
            )
            sheet.print_area(0, 0, self._at + SPARE_ROWS_PRINTED, wide)
        sheet.autofilter(0, 0, max(self._at, 1), wide)
        sheet.freeze_panes(1, 1)
        pages = -(-sum(column.width for column in self._columns) // PAGE_WIDTH)
        print_on_a4(sheet, about, pages_wide=pages)
        if pages > 1:
            sheet.repeat_columns(0)
        sheet.repeat_rows(0)
        sheet.hide_gridlines(0)


def print_on_a4(sheet: Worksheet, about: str, *, pages_wide: int = 1) -> None:
    """A4 landscape, so many pages across, with what it is and the page in the margins."""
    sheet.set_landscape()
    sheet.set_paper(A4)
    sheet.fit_to_pages(pages_wide, 0)
    sheet.set_margins(left=0.4, right=0.4, top=0.6, bottom=0.6)
    sheet.set_header(f"&L&A&R{about.replace('&', '&&')}")
    sheet.set_footer("&LFilled in by: ____________________  Date: ____________&RPage &P of &N")


class _Column:
    def __init__(self, table: RegisterTable, name: str, lists: Lists, formats: Formats) -> None:
        field = table.fields[name]
        self.heading = table.heading(name)
        self.is_key = name in table.sheet.key
        self.shown = lists.shown(table, name)
        self.rule = rule(field, lists.name(table, name), self.heading)
        is_date = isinstance(field, DateField)
        is_number = isinstance(field, IntegerField | FloatField) and self.shown is None
        self.locked = formats.locked
        self.locked_date = formats.locked_date if self.is_key else formats.open_date
        self.open = (
            formats.open_date if is_date else formats.open if is_number else formats.open_text
        )
        if self.shown is not None:
            self.open = formats.open
        self.width = WIDEST if self.shown and len(self.shown) > 12 else WIDE
        if is_date or is_number:
            self.width = NARROW
