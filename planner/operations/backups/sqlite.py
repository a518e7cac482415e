"""A copy of a SQLite database, through SQLite's own backup interface."""

import gzip
import shutil
import sqlite3
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from planner.operations.backups.errors import BackupError

CHUNK_BYTES = 1 << 20


def take(database: Mapping[str, Any], copy: Path) -> None:
    """Copy one moment of ``database``, check it, and pack it as ``copy``."""
    with tempfile.TemporaryDirectory(dir=copy.parent) as scratch:
        plain = Path(scratch) / "copy.sqlite3"
        source = sqlite3.connect(f"file:{database['NAME']}?mode=ro", uri=True, timeout=20)
        target = sqlite3.connect(plain)
        try:
            source.backup(target, pages=2048)
        except sqlite3.Error as error:
            raise BackupError(f"SQLite could not copy the database: {error}") from error
        finally:
            source.close()
            target.close()
        _sound(plain)
        packed = Path(scratch) / copy.name
        with plain.open("rb") as read, gzip.open(packed, "wb", compresslevel=6) as written:
            shutil.copyfileobj(read, written, CHUNK_BYTES)
        packed.replace(copy)


def check(copy: Path) -> None:
    """Raise unless the packed ``copy`` is a whole database."""
    with tempfile.TemporaryDirectory() as scratch:
        _sound(_unpacked(copy, Path(scratch) / "copy.sqlite3"))


def restore(copy: Path, target: Path) -> None:
    """Put the packed ``copy`` in the place of ``target``."""
    with tempfile.TemporaryDirectory(dir=target.parent) as scratch:
        plain = _unpacked(copy, Path(scratch) / "copy.sqlite3")
        source, live = sqlite3.connect(plain), sqlite3.connect(target, timeout=20)
        try:
            # Page by page into the open file: its write-ahead log belongs to the old content.
            source.backup(live)
        except sqlite3.Error as error:
            raise BackupError(
                f"SQLite could not put the copy back: {error}. Stop the service, then try again."
            ) from error
        finally:
            source.close()
            live.close()


def _unpacked(copy: Path, plain: Path) -> Path:
    try:
        with gzip.open(copy, "rb") as read, plain.open("wb") as written:
            shutil.copyfileobj(read, written, CHUNK_BYTES)
    except (OSError, EOFError) as error:
        raise BackupError(f"{copy} cannot be unpacked: {error}") from error
    return plain


def _sound(plain: Path) -> None:
    """Raise unless SQLite finds the file whole and every row that others refer to there."""
    database = sqlite3.connect(f"file:{plain}?mode=ro", uri=True)
    try:
        [(said,)] = database.execute("PRAGMA integrity_check(1)").fetchall()
        loose = database.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.Error as error:
        raise BackupError(f"The copy is not a database: {error}") from error
    finally:
        database.close()
    if said != "ok":
        raise BackupError(f"The copy is damaged: {said}")
    if loose:
        raise BackupError(f"The copy refers to rows that are not there: table {loose[0]}")
