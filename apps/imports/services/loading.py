import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.models import EVERYWHERE
from apps.audit.selectors import latest_entry
from apps.audit.services import record
from apps.facilities.models import Area
from apps.imports.adapters import catalogue, outlines, register, verifications
from apps.imports.adapters.files import Problem, header
from apps.imports.adapters.known import Known
from apps.imports.adapters.rows import Row, read_sheet
from apps.imports.adapters.sheets import Sheet
from apps.imports.services.verifying import write_verifications
from apps.imports.services.writing import Change, write
from apps.inventory.services import end_outdated

KINDS = {"catalogue.loaded": catalogue.SHEETS, "register.loaded": register.SHEETS}


class LoadError(Exception):
    """A folder that cannot be loaded; ``problems`` has one line for each mistake."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        number = "1 mistake" if len(problems) == 1 else f"{len(problems)} mistakes"
        super().__init__(f"Nothing was loaded: {number}. Correct the folder and load it again.")


@dataclass(frozen=True)
class Loaded:
    """What a load did, file by file."""

    changes: dict[str, Change]

    @property
    def nothing_changed(self) -> bool:
        return not any(self.changes.values())


def load_catalogue(*, folder: Path, by: User | None) -> Loaded:
    """Load the catalogue in ``folder``: tests, methods, models and where each number is from.

    All files or nothing. The same folder twice changes nothing. What a method needs and
    asks for, and what a model serves and states, is afterwards as the files say; nothing
    else is ever removed.

    Raises ``LoadError`` with every mistake, ``PermissionDenied`` where ``by`` may not.
    """
    return _load("catalogue.loaded", folder, by)


def load_register(*, folder: Path, by: User | None) -> Loaded:
    """Load areas, facilities and what they hold from ``folder``; the catalogue must be there.

    All files or nothing; a file that is absent leaves its table as it is. The same folder
    twice changes nothing, and no row is ever removed.

    Raises ``LoadError`` with every mistake, ``PermissionDenied`` where ``by`` may not.
    """
    return _load("register.loaded", folder, by)


def is_loaded(folder: Path) -> bool:
    """Whether the latest load of this kind of folder had exactly these files; a query or two."""
    for action in KINDS:
        if files := _files(action, folder):
            entry = latest_entry(action)
            return entry is not None and entry.after["sha256"] == _digest(files)
    return False


def _load(action: str, folder: Path, by: User | None) -> Loaded:
    require(by, "register.change")
    files = _files(action, folder)
    if not files:
        names = ", ".join(sheet.file for sheet in KINDS[action])
        said = f"the folder has none of the files {names}."
        raise LoadError([Problem(str(folder), 1, said)])
    with transaction.atomic():
        changes = _write_all(action, folder, by)
        record(
            action,
            by=by,
            obj=folder.resolve().name,
            before=_fields(changes, 0),
            after={
                "files": {file: change.counts for file, change in changes.items()},
                "changed": _fields(changes, 1),
                "removed": {file: each.removed for file, each in changes.items() if each.removed},
                "sha256": _digest(files),
            },
            place="" if action == "catalogue.loaded" else _whole_register(),
        )
    return Loaded(changes)


def _whole_register() -> str:
    """The area that all others lie in, if there is one."""
    roots = Area.objects.filter(parent=None).values_list("path", flat=True)[:2]
    return roots[0] if len(roots) == 1 else EVERYWHERE


def _write_all(action: str, folder: Path, by: User | None) -> dict[str, Change]:
    """Write file by file, so that each finds those it refers to; any mistake undoes it all."""
    known = Known()
    problems: list[Problem] = []
    changes: dict[str, Change] = {}
    for sheet in KINDS[action]:
        if (folder / sheet.file).exists():
            changes[sheet.file] = _write_sheet(sheet, folder, known, problems)
    if action == "register.loaded" and (folder / outlines.FILE).exists():
        changes[outlines.FILE] = _write_outlines(folder, known, problems)
    if action == "register.loaded":
        # A device that broke or moved loses what was measured, before more is said of it.
        end_outdated(by=by)
        if (folder / verifications.FILE).exists():
            changes[verifications.FILE] = write_verifications(folder, by, problems)
    if problems:
        raise LoadError(problems)
    return changes


def _write_sheet(sheet: Sheet, folder: Path, known: Known, problems: list[Problem]) -> Change:
    sheet = sheet.as_in(header(folder / sheet.file))
    change, rows = Change(), list[Row]()
    for read in read_sheet(sheet, folder / sheet.file, known):
        if isinstance(read, Problem):
            problems.append(read)
        elif sheet.one_by_one:
            change.add(write(sheet, [read], known))
            known.renew(sheet.model)
        else:
            rows.append(read)
    if not sheet.one_by_one:
        # A row that is right by itself and wrong beside others might break a rule of the table.
        wrong = {problem.line for problem in problems if problem.file == sheet.file}
        change = write(sheet, [row for row in rows if row.line not in wrong], known)
        known.renew(sheet.model)
    return change


def _write_outlines(folder: Path, known: Known, problems: list[Problem]) -> Change:
    change = Change()
    stored = dict(Area.objects.values_list("pk", "outline"))
    for read in outlines.read_outlines(folder / outlines.FILE, known):
        if isinstance(read, Problem):
            problems.append(read)
            continue
        pk, outline = read
        if stored[pk] != outline:
            Area.objects.filter(pk=pk).update(outline=outline)
            change.changed[known.name(Area, pk)] = {"outline": [bool(stored[pk]), True]}
    return change


def _fields(changes: dict[str, Change], side: int) -> dict[str, Any]:
    """File to row to field to its value before (0) or after (1)."""
    return {
        file: {
            row: {name: values[side] for name, values in fields.items()}
            for row, fields in change.changed.items()
        }
        for file, change in changes.items()
        if change.changed
    }


def _files(action: str, folder: Path) -> list[Path]:
    names = [sheet.file for sheet in KINDS[action]]
    if action == "register.loaded":
        names += [outlines.FILE, verifications.FILE]
    return [folder / name for name in names if (folder / name).is_file()]


def _digest(files: Sequence[Path]) -> str:
    digest = hashlib.sha256()
    for path in files:
        content = path.read_bytes()
        digest.update(f"{path.name} {len(content)}\n".encode())
        digest.update(content)
    return digest.hexdigest()
