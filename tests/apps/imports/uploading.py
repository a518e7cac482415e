"""Workbooks as people fill them in, and uploads as a worker takes them."""

import io
from collections.abc import Callable
from typing import Any

from openpyxl import Workbook as Book
from openpyxl import load_workbook

from apps.accounts.models import User
from apps.facilities.models import Area
from apps.imports.exports import survey_workbook
from apps.imports.models import Upload
from apps.imports.selectors import proposals_of
from apps.imports.services import (
    apply_upload,
    carry_out_upload,
    read_upload,
    receive_upload,
    take_back_upload,
    undo_upload,
)


def given_out(area: Area, by: User, **values: Any) -> bytes:
    return survey_workbook(area=area, by=by, **values)[1]


def filled(content: bytes, *changes: Callable[[Any], None]) -> bytes:
    """The workbook after ``changes``, as a spreadsheet program saves it."""
    book = load_workbook(io.BytesIO(content))
    for change in changes:
        change(book)
    return saved(book)


def saved(book: Book) -> bytes:
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def put(sheet: str, key: str, heading: str, value: Any) -> Callable[[Any], None]:
    """Type ``value`` under ``heading`` in the row whose first or second cell names ``key``."""

    def change(book: Book) -> None:
        rows = book[sheet]
        heads = [cell.value for cell in rows[1]]
        for row in rows.iter_rows(min_row=2):
            names = [str(cell.value) for cell in row[:2]]
            if any(name == key or name.endswith(f"({key})") for name in names):
                row[heads.index(heading)].value = value
                return
        raise LookupError(key)

    return change


def add(sheet: str, **cells: Any) -> Callable[[Any], None]:
    """Type a new row below the last one; headings with underscores for blanks."""

    def change(book: Book) -> None:
        rows = book[sheet]
        heads = [str(cell.value).replace(" ", "_") for cell in rows[1]]
        line = 2
        while rows.cell(line, 1).value is not None:
            line += 1
        for name, value in cells.items():
            rows.cell(line, heads.index(name) + 1).value = value

    return change


def sent(content: bytes, area: Area, by: User, name: str = "survey.xlsx", **values: Any) -> Upload:
    """The upload of ``content`` after a worker has read it."""
    upload = receive_upload(file_name=name, content=content, area=area, by=by, **values)
    read_upload(upload.pk)
    upload.refresh_from_db()
    return upload


def applied(upload: Upload, by: User) -> Upload:
    apply_upload(upload=upload, by=by)
    carry_out_upload(upload.pk)
    upload.refresh_from_db()
    return upload


def undone(upload: Upload, by: User) -> Upload:
    undo_upload(upload=upload, by=by)
    take_back_upload(upload.pk)
    upload.refresh_from_db()
    return upload


def numbers(upload: Upload) -> dict[str, tuple[int, int, int, int, int]]:
    """Sheet to its rows that are new, changed, changed by both, refused, unchanged."""
    names = ("new", "changed", "conflict", "refused", "unchanged")
    return {file: tuple(counts[name] for name in names) for file, counts in upload.counts.items()}


def faults(upload: Upload, sheet: str) -> list[tuple[int, str, str, str, str]]:
    """Line, column, value, reason and remedy of all that is refused in ``sheet``."""
    return [
        (row["line"], *(fault[name] for name in ("column", "value", "reason", "remedy")))
        for row in proposals_of(upload, sheet, "refused", 0, 1000)
        for fault in row["faults"]
    ]
