from dataclasses import dataclass
from typing import Any

from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.facilities.models import Area, Facility, TravelTime
from apps.facilities.selectors import facilities_for
from apps.imports.adapters.files import Problem
from apps.imports.adapters.known import Known
from apps.imports.adapters.rows import Row, read_sheet
from apps.imports.adapters.travel_times import TRAVEL_TIMES, KnownAmong, Upload
from apps.imports.services.loading import LoadError
from apps.imports.services.writing import Change, write

NEW, CHANGED, SAME = "new", "changed", "same"
MOST_ROWS = 20_000


@dataclass(frozen=True)
class PreviewRow:
    """One row of an upload: what it says, and what it would do, ``new``, ``changed`` or ``same``.

    ``before``: the hours that stand there now.
    """

    line: int
    origin: str
    destination: str
    mode: str
    season: str
    hours: float
    before: float | None
    does: str


@dataclass(frozen=True)
class Preview:
    """What an upload would do; nothing at all while there are ``problems``."""

    rows: tuple[PreviewRow, ...]
    problems: tuple[Problem, ...]

    def count(self, does: str) -> int:
        return sum(row.does == does for row in self.rows)

    @property
    def new(self) -> int:
        return self.count(NEW)

    @property
    def changed(self) -> int:
        return self.count(CHANGED)

    @property
    def same(self) -> int:
        return self.count(SAME)

    @property
    def can_be_applied(self) -> bool:
        return not self.problems and bool(self.new or self.changed)


def preview_travel_times(*, content: bytes, district: Area, user: User) -> Preview:
    """What the CSV file ``content`` would do to the travel times of ``district``; only reads.

    Raises ``PermissionDenied`` where ``user`` may not change the register.
    """
    require(user, "register.change")
    rows, problems, known = _read(content, district, user)
    stored = {
        (each.origin_id, each.destination_id, each.mode, each.season): each
        for each in TravelTime.objects.within(district.path)
    }
    names = ("hours", "source", "measured_on")
    found = []
    for row in rows:
        key = tuple(row.values[name] for name in TRAVEL_TIMES.key)
        old = stored.get(key)
        if old is None:
            does = NEW
        else:
            same = all(getattr(old, name) == row.values[name] for name in names)
            does = SAME if same else CHANGED
        found.append(_in_words(row, known, does, old.hours if old else None))
    return Preview(tuple(found), tuple(problems))


def load_travel_times(*, content: bytes, district: Area, by: User) -> Change:
    """Take over all rows of the CSV file ``content``, or none; nothing is ever removed.

    Raises ``LoadError`` with every mistake, ``PermissionDenied`` where ``by`` may not.
    """
    require(by, "register.change")
    with transaction.atomic():
        rows, problems, known = _read(content, district, by)
        if problems:
            raise LoadError(problems)
        change = write(TRAVEL_TIMES, rows, known)
        record(
            "travel_times.loaded",
            by=by,
            obj=district,
            before=_side(change, 0),
            after={"rows": len(rows), **change.counts, "changed_to": _side(change, 1)},
        )
    return change


def _read(content: bytes, district: Area, by: User) -> tuple[list[Row], list[Problem], Known]:
    known = KnownAmong(facilities_for(by).within(district.path))
    read = list(read_sheet(TRAVEL_TIMES, Upload(TRAVEL_TIMES.file, content), known))
    rows = [each for each in read if isinstance(each, Row)]
    problems = [each for each in read if isinstance(each, Problem)]
    if len(rows) > MOST_ROWS:
        said = f"the file has {len(rows)} rows, expected at most {MOST_ROWS}. Part it."
        problems.append(Problem(TRAVEL_TIMES.file, rows[MOST_ROWS].line, said))
    return rows, problems, known


def _in_words(row: Row, known: Known, does: str, before: float | None) -> PreviewRow:
    values = row.values
    return PreviewRow(
        line=row.line,
        origin=known.name(Facility, values["origin"]),
        destination=known.name(Facility, values["destination"]),
        mode=values["mode"],
        season=values["season"],
        hours=values["hours"],
        before=before,
        does=does,
    )


def _side(change: Change, side: int) -> dict[str, Any]:
    """Row to field to its value before (0) or after (1)."""
    return {
        row: {name: values[side] for name, values in fields.items()}
        for row, fields in change.changed.items()
    }
