"""Looks into a spreadsheet file before anything reads it: what is in it, and how much."""

import io
import lzma
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from apps.imports.adapters.extents import Extent
from apps.imports.adapters.sources import RefusedFileError

MOST_UNPACKED_BYTES = 400 * 2**20
MOST_MEMBERS = 500
STEP_BYTES = 2**20
OVERLAP_BYTES = 200  # longer than the start of a cell, so that none is missed between two steps

LEGACY = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # compound file: old or encrypted workbooks
SAVE_AS = "Open it in a spreadsheet program, save it as a workbook (.xlsx), and upload that."
# What the standard library raises of a container whose bytes are not what they should be.
DAMAGES = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, NotImplementedError,
    RuntimeError, EOFError, OSError, ValueError, LookupError,
)  # fmt: skip
DECLARES = re.compile(rb"<!DOCTYPE|<!ENTITY", re.IGNORECASE)


@dataclass(frozen=True)
class Contents:
    """What was seen: member of the container to the cells with formulas, as column and row."""

    formulas: dict[str, frozenset[tuple[str, int]]]
    unpacked_bytes: int


def look_into(name: str, content: bytes) -> Contents:
    """Unpack the workbook ``content`` step by step, keeping nothing, and refuse what is unsafe.

    Raises ``RefusedFileError`` for what is no workbook, is encrypted, has macros, declares
    entities, or unpacks to more than can be read.
    """
    if content.startswith(LEGACY):
        raise RefusedFileError(
            f"{name} is protected by a password, or in an old format.", remedy=SAVE_AS
        )
    try:
        archive = zipfile.ZipFile(io.BytesIO(content))
    except DAMAGES as error:
        raise RefusedFileError(
            f"{name} is not a workbook, or is damaged.", remedy=SAVE_AS
        ) from error
    with archive:
        _check_members(name, archive)
        return _unpack(name, archive)


def _check_members(name: str, archive: zipfile.ZipFile) -> None:
    members = archive.namelist()
    if any(member.lower().endswith("vbaproject.bin") for member in members):
        raise RefusedFileError(
            f"{name} contains macros, which are not accepted.",
            remedy="Save it as a workbook without macros (.xlsx), and upload that.",
        )
    if len(members) > MOST_MEMBERS or len(set(members)) < len(members):
        raise RefusedFileError(f"{name} is not built as a workbook is.", remedy=SAVE_AS)
    if "xl/workbook.xml" not in members:
        raise RefusedFileError(f"{name} is not a workbook (.xlsx).", remedy=SAVE_AS)


def _unpack(name: str, archive: zipfile.ZipFile) -> Contents:
    total, formulas = 0, {}
    try:
        for member in archive.infolist():
            sheet = Extent(name) if member.filename.startswith("xl/worksheets/") else None
            for step, size in _steps(archive, member):
                total += size
                if total > MOST_UNPACKED_BYTES:
                    limit = MOST_UNPACKED_BYTES // 2**20
                    raise RefusedFileError(
                        f"{name} unpacks to more than {limit} MB.",
                        remedy="Remove sheets that do not belong to it, or part it.",
                    )
                _check_step(name, step)
                if sheet:
                    sheet.see(step, size)
            if sheet and sheet.formulas:
                formulas[member.filename] = frozenset(sheet.formulas)
    except DAMAGES as error:
        raise RefusedFileError(f"{name} is damaged or protected.", remedy=SAVE_AS) from error
    return Contents(formulas, total)


def _steps(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> Iterator[tuple[bytes, int]]:
    """Parts of an unpacked member, each with the end of the one before; and the new bytes."""
    rest = b""
    with archive.open(member) as stream:
        while step := stream.read(STEP_BYTES):
            seen = rest + step
            yield seen, len(step)
            rest = seen[-OVERLAP_BYTES:]


def _check_step(name: str, step: bytes) -> None:
    if DECLARES.search(step):
        raise RefusedFileError(
            f"{name} declares entities of its own, which no spreadsheet program does.",
            remedy=SAVE_AS,
        )
