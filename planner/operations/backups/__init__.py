"""Copies of the database that are taken while it is in use, checked, and put back."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.operations.backups import postgresql, sqlite
from planner.operations.backups.errors import BackupError

__all__ = ["BackupError", "Manifest", "check", "restore", "take"]


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
    (sqlite if vendor == "sqlite" else postgresql).take(database, copy)
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
    (sqlite if manifest.vendor == "sqlite" else postgresql).check(copy)
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
        sqlite.restore(copy, Path(database["NAME"]))
    else:
        postgresql.restore(copy, database)
    return manifest


def _sha256(path: Path) -> str:
    with path.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()
