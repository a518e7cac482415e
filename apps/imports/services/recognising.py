"""One way in for every file: what it is is found out, and it is handed on."""

from dataclasses import dataclass

from apps.accounts.models import User
from apps.facilities.models import Area
from apps.facilities.selectors import district_of
from apps.imports.adapters.grids import grid_of
from apps.imports.adapters.mapping import Guess, distinct_words, meanings, signature, suggest
from apps.imports.adapters.mapping.words import has_words
from apps.imports.adapters.recognising import kind_of
from apps.imports.adapters.tables import TABLES, RegisterTable
from apps.imports.choices import UploadKind
from apps.imports.models import UnmappedFile, Upload
from apps.imports.selectors import mapping_of
from apps.imports.services.mapping import keep_unmapped
from apps.imports.services.receiving import check_content, receive_upload

SAMPLED = 2000
"""Rows that are looked at for examples and for words."""


@dataclass(frozen=True)
class MappingQuestion:
    """What is to be confirmed of a file: its table, its columns, and what its words mean.

    ``words``: column to word of the file to our value, or nothing. ``remembered``: whether
    that is what was confirmed the last time.
    """

    guess: Guess
    words: dict[str, dict[str, str]]
    sheet: str
    sheets: tuple[str, ...]
    remembered: bool


def recognise(*, file_name: str, content: bytes) -> UploadKind:
    """What kind of file this is; only reads. Raises ``RefusedFileError`` for none of them."""
    check_content(content)
    return kind_of(file_name, content)


@dataclass(frozen=True)
class Taken:
    """What became of a file: an upload that is being read, or one whose columns are asked for."""

    kind: UploadKind
    upload: Upload | None = None
    unmapped: UnmappedFile | None = None


def take_in(*, file_name: str, content: bytes, area: Area, by: User) -> Taken:
    """Find out what a file is and queue its reading, or keep it until its columns are named.

    Raises ``PermissionDenied``, ``ValidationError`` and ``RefusedFileError`` as the services
    do that it hands on to.
    """
    kind = recognise(file_name=file_name, content=content)
    if kind == UploadKind.MAPPED:
        kept = keep_unmapped(file_name=file_name, content=content, area=area, by=by)
        return Taken(kind, unmapped=kept)
    upload = receive_upload(file_name=file_name, content=content, area=area, by=by, kind=kind)
    return Taken(kind, upload=upload)


def mapping_question(
    unmapped: UnmappedFile, *, table: str = "", sheet: str = "", columns: tuple[str, ...] = ()
) -> MappingQuestion:
    """What ``unmapped`` seems to say, or was said to the last time; only reads.

    ``table`` and ``columns``: what the person chose already.
    """
    grid = grid_of(unmapped.file_name, bytes(unmapped.content), sheet=sheet)
    rows = [row for _, row in zip(range(SAMPLED), grid.rows, strict=False)]
    kept = mapping_of(district_of(unmapped.area), signature(grid.heads))
    wanted: RegisterTable | None = TABLES.get(table)
    if kept and wanted is None:
        wanted = TABLES.get(kept.table)
    guess = suggest(grid.heads, [cells for _, cells in rows], wanted)
    remembered = kept is not None and kept.table == guess.table.file
    chosen = columns or (tuple(kept.columns) if kept and remembered else ())
    if chosen and len(chosen) == len(grid.heads):
        guess = guess.chosen(chosen)
    words = {}
    for at, each in enumerate(guess.columns):
        field = guess.table.fields.get(each.column)
        if field is not None and has_words(field):
            meant = meanings(field, each.column, distinct_words(rows, at))
            confirmed = kept.values.get(each.column, {}) if kept and remembered else {}
            words[each.column] = meant | {
                word: value for word, value in confirmed.items() if word in meant
            }
    return MappingQuestion(guess, words, grid.title, grid.sheets, remembered)
