"""Copies of the database that are taken while it is in use, checked, and put back."""

import gzip
import hashlib
import json
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

CHUNK_BYTES = 1 << 20


class BackupError(Exception):
    """A copy that cannot be made, is not whole, or cannot be put back."""


@dataclass(frozen=True)
class Manifest:
    """What stands beside a copy: enough to know whether it is whole and where it belongs."""

    file: str
    sha256: str
    vendor: str
    version: str
    taken_at: str

    @classmethod
    def read(cls, path: Path) -> "Manifest":
        try:
            return cls(**json.loads(path.read_text(encoding="utf-8")))
        except (OSError, ValueError, TypeError) as error:
            raise BackupError(f"{path} is not the manifest of a backup: {error}") from error


def take(
    database: Mapping[str, Any], vendor: str, folder: Path, *, version: str, now: datetime
) -> Path:
    """Copy ``database`` (an entry of Django's ``DATABASES``) into ``folder``; returns the manifest.

    SQLite through its own backup interface, PostgreSQL through ``pg_dump``: both give one
    moment of the database while others write. Only whole copies get a manifest.

    Raises ``BackupError``.
    """
    folder.mkdir(parents=True, exist_ok=True)
    stem = f"benchward-{now:%Y%m%dT%H%M%S}"
    copy = folder / f"{stem}.{'sqlite3.gz' if vendor == 'sqlite' else 'pgdump'}"
    if copy.exists():
        raise BackupError(f"{copy} is there already. Wait a second and try again.")
    (_take_sqlite if vendor == "sqlite" else _take_postgresql)(database, copy)
    manifest = Manifest(copy.name, _sha256(copy), vendor, version, now.isoformat())
    path = folder / f"{stem}.json"
    path.write_text(json.dumps(asdict(manifest), indent=1) + "\n", encoding="utf-8")
    return path


def check(manifest_path: Path) -> Manifest:
    """Read a copy back and make sure that it is whole. Raises ``BackupError``."""
    manifest = Manifest.read(manifest_path)
    copy = manifest_path.parent / manifest.file
    if not copy.exists():
        raise BackupError(f"{copy} is missing.")
    if _sha256(copy) != manifest.sha256:
        raise BackupError(f"{copy} is not as it was written: its digest differs.")
    if manifest.vendor == "sqlite":
        with tempfile.TemporaryDirectory() as scratch:
            _sound(_unpacked(copy, Path(scratch) / "copy.sqlite3"))
    else:
        _run(["pg_restore", "--list", str(copy)])
    return manifest


def restore(manifest_path: Path, database: Mapping[str, Any], vendor: str) -> Manifest:
    """Put a checked copy in the place of ``database``. Raises ``BackupError``."""
    manifest = check(manifest_path)
    if manifest.vendor != vendor:
        raise BackupError(
            f"The copy is of {manifest.vendor}, the service uses {vendor}. Restore it where it"
            " belongs."
        )
    copy = manifest_path.parent / manifest.file
    if vendor == "sqlite":
        _restore_sqlite(copy, Path(database["NAME"]))
    else:
        command = ["pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction"]
        _run([*command, *_where(database), str(copy)], database)
    return manifest


def _take_sqlite(database: Mapping[str, Any], copy: Path) -> None:
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


def _take_postgresql(database: Mapping[str, Any], copy: Path) -> None:
    part = copy.with_suffix(".part")
    command = ["pg_dump", "--format=custom", "--no-owner", f"--file={part}", *_where(database)]
    try:
        _run(command, database)
        part.replace(copy)
    finally:
        part.unlink(missing_ok=True)


def _restore_sqlite(copy: Path, target: Path) -> None:
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


def _where(database: Mapping[str, Any]) -> list[str]:
    parts = {"--host": "HOST", "--port": "PORT", "--username": "USER", "--dbname": "NAME"}
    return [f"{option}={database[key]}" for option, key in parts.items() if database.get(key)]


def _run(command: list[str], database: Mapping[str, Any] | None = None) -> None:
    password = {"PGPASSWORD": str(database["PASSWORD"])} if database else {}
    path = {"PATH": "/usr/local/bin:/usr/bin:/bin"}
    try:
        done = subprocess.run(  # noqa: S603 - our own words and settings, never a visitor's
            command, env={**path, **password}, capture_output=True, text=True, check=False
        )
    except FileNotFoundError as error:
        raise BackupError(
            f"{command[0]} is not installed. Install the PostgreSQL client programs."
        ) from error
    if done.returncode:
        raise BackupError(f"{command[0]} failed: {done.stderr.strip()}")


def _sha256(path: Path) -> str:
    with path.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()
