"""Runs a command the way a shell does, in a process of its own."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def start(*words: object) -> subprocess.Popen[str]:
    """``manage.py`` with ``words``, but in this environment and with the tests' settings."""
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    environment.pop("PYTHONUNBUFFERED", None)  # it hides that a reader went away
    return subprocess.Popen(  # noqa: S603 - our own interpreter and words
        [sys.executable, "-m", "django", *map(str, words)],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )


def run(*words: object) -> tuple[int, str, str]:
    """The exit code, the standard output and the standard error."""
    process = start(*words)
    out, err = process.communicate(timeout=120)
    return process.returncode, out, err
