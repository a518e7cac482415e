"""What a workbook said of the rows of a sheet when it was given out."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from apps.imports.adapters.kept import unpacked_all
from apps.imports.adapters.sources import RefusedFileError, Source, SourceSheet
from apps.imports.models import Upload, Workbook, WorkbookPiece

STRANGE_MARK = (
    "The workbook's version mark is not one of ours, or is damaged. Get a new workbook, copy"
    " what was filled in, and upload that."
)


class GivenOut:
    """Rows by their kept keys. Of 200 000 rows as dictionaries there would not be room enough."""

    def __init__(self, rows: Iterable[Mapping[str, Any]], key: Sequence[str]) -> None:
        self._names: tuple[str, ...] = ()
        self._rows: dict[tuple[Any, ...], tuple[Any, ...]] = {}
        for row in rows:
            # A workbook was written at one time, so that all rows have the same columns.
            self._names = self._names or tuple(row)
            self._rows[tuple(row[name] for name in key)] = tuple(row.values())

    def __len__(self) -> int:
        return len(self._rows)

    def get(self, key: tuple[Any, ...]) -> Mapping[str, Any] | None:
        """Column to kept value; ``None`` where the workbook had no such row."""
        row = self._rows.get(key)
        return None if row is None else dict(zip(self._names, row, strict=True))


def workbook_of(source: Source, upload: Upload) -> Workbook | None:
    if not source.workbook_key:
        return None
    workbook = Workbook.objects.filter(key=source.workbook_key).select_related("area").first()
    if workbook is None:
        raise RefusedFileError(f"{upload.file_name}:", remedy=STRANGE_MARK)
    return workbook


def given_out_of(workbook: Workbook | None, sheet: SourceSheet) -> GivenOut | None:
    """What the workbook said of the sheet; ``None`` where there is nothing to compare with."""
    if workbook is None:
        return None
    pieces = WorkbookPiece.objects.filter(workbook=workbook, sheet=sheet.table.file)
    contents = (bytes(content) for content in pieces.values_list("content", flat=True))
    return GivenOut(unpacked_all(contents), sheet.table.sheet.key)
