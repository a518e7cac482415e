"""What a file is, told from its name and its content."""

import io
import json
import re

from python_calamine import CalamineError, CalamineWorkbook

from apps.imports.adapters.containers import LEGACY, look_into
from apps.imports.adapters.grids import grid_of
from apps.imports.adapters.sources import RefusedFileError
from apps.imports.adapters.table_reading import table_with
from apps.imports.adapters.workbook_reading import MARK_SHEET, read_workbook
from apps.imports.choices import UploadKind

SPREADSHEETS = (b"PK", LEGACY)
LOOKED_AT = 4000
SIGNS = (
    (re.compile(r'"resourceType"\s*:\s*"'), UploadKind.FHIR),
    (re.compile(r'"format"\s*:\s*"benchward-case"'), UploadKind.CASE),
    (re.compile(r'"type"\s*:\s*"Feature(Collection)?"'), UploadKind.GEOJSON),
)


def kind_of(name: str, content: bytes) -> UploadKind:
    """The kind of the file ``content``; a table whose columns are not ours is ``MAPPED``.

    Raises ``RefusedFileError`` for what is of no kind, or not safe to read.
    """
    start = content.lstrip(b"\xef\xbb\xbf \t\r\n")[:1]
    if start in (b"{", b"["):
        return _kind_of_json(name, content)
    if content.startswith(SPREADSHEETS):
        return _kind_of_spreadsheet(name, content)
    return UploadKind.TABLE if table_with(name, grid_of(name, content).heads) else UploadKind.MAPPED


def _kind_of_spreadsheet(name: str, content: bytes) -> UploadKind:
    """One that was given out has our mark. What is not safe is left to the reader to refuse."""
    try:
        look_into(name, content)
        sheets = CalamineWorkbook.from_filelike(io.BytesIO(content)).sheet_names
        if MARK_SHEET not in sheets:
            grid_of(name, content)
            return _kind_without_mark(name, content)
    except (RefusedFileError, CalamineError, ValueError, KeyError):
        pass
    return UploadKind.WORKBOOK


def _kind_without_mark(name: str, content: bytes) -> UploadKind:
    try:
        read_workbook(name, content, {})
    except RefusedFileError:
        return UploadKind.MAPPED
    return UploadKind.WORKBOOK


def _kind_of_json(name: str, content: bytes) -> UploadKind:
    """By the members of the object itself, or by its text where it is not sound."""
    try:
        document = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        text = content[:LOOKED_AT].decode("utf-8", errors="replace")
    else:
        members = document if isinstance(document, dict) else {}
        text = json.dumps({key: members[key] for key in ("resourceType", "format", "type")
                           if isinstance(members.get(key), str)})  # fmt: skip
    for sign, kind in SIGNS:
        if sign.search(text):
            return kind
    raise RefusedFileError(
        f"{name} is JSON, but neither GeoJSON, a FHIR bundle nor a planning case.",
        remedy="Export it again in one of these formats, or upload a table.",
    )
