"""A copy of a PostgreSQL database, through its own programs."""

import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from planner.operations.backups.errors import BackupError


def take(database: Mapping[str, Any], copy: Path) -> None:
    """Copy one moment of ``database`` as ``copy``."""
    part = copy.with_suffix(".part")
    command = ["pg_dump", "--format=custom", "--no-owner", f"--file={part}", *_where(database)]
    try:
        _run(command, database)
        part.replace(copy)
    finally:
        part.unlink(missing_ok=True)


def check(copy: Path) -> None:
    """Raise unless PostgreSQL can read what ``copy`` holds."""
    _run(["pg_restore", "--list", str(copy)])


def restore(copy: Path, database: Mapping[str, Any]) -> None:
    """Put ``copy`` in the place of ``database``, all of it or nothing."""
    command = ["pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction"]
    _run([*command, *_where(database), str(copy)], database)


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
