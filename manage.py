#!/usr/bin/env python3
"""Benchward's command line. Two commands need nothing but Python 3.11+ and git:

    python3 manage.py demo     set up, load the invented district, plan, serve the pages
    python3 manage.py test     set up the development tools and run the whole suite

Outside a virtual environment both first make ``.venv`` beside this file and install
the exact, hash-checked packages listed under ``planner/requirements/``.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
LOCKS = ROOT / "planner" / "requirements"


def main() -> None:
    if sys.version_info < (3, 11):
        sys.exit(f"Benchward needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    lock = LOCKS / ("dev.txt" if sys.argv[1:2] == ["test"] else "base.txt")
    if sys.prefix == sys.base_prefix:
        enter_environment(lock)
    elif Path(sys.prefix) == VENV:
        install(lock)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "planner.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


def enter_environment(lock: Path) -> None:
    """Run this command again inside ``.venv``, making and filling that first if needed."""
    python = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        print(f"Making {VENV.relative_to(ROOT)} ...", flush=True)
        made = subprocess.run([sys.executable, "-m", "venv", str(VENV)], check=False)
        if made.returncode:
            sys.exit(
                "Python could not make a virtual environment. On Debian and Ubuntu install "
                "the package python3-venv, then run this command again."
            )
    install(lock, python)
    os.execv(python, [str(python), *sys.argv])


def install(lock: Path, python: str | Path = sys.executable) -> None:
    """Install ``lock`` unless its stamp says that this very list is there already.

    The development list holds all of the base list, so its stamp answers for both.
    """
    stamps = {path: VENV / f".{path.stem}-{_digest(path)}" for path in LOCKS.glob("*.txt")}
    if stamps[lock].exists() or stamps[LOCKS / "dev.txt"].exists():
        return
    print(f"Installing the packages of {lock.relative_to(ROOT)} ...", flush=True)
    pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    done = subprocess.run(
        [*pip, "--require-hashes", "--only-binary", ":all:", "-r", str(lock)], check=False
    )
    if done.returncode:
        sys.exit(
            "Some packages could not be installed (see above). Check the network connection "
            "and run this command again; what is already there is kept."
        )
    stamps[lock].touch()


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:16]


if __name__ == "__main__":
    main()
