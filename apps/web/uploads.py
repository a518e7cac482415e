"""What a file would change, in the words of the people who filled it in."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.imports.adapters.tables import TABLES, RegisterTable
from apps.imports.choices import Verdict

SHOWN_VERDICTS = (Verdict.REFUSED, Verdict.CONFLICT, Verdict.CHANGED, Verdict.NEW)


@dataclass(frozen=True)
class SheetCount:
    """One line of the overview: how many rows of a sheet would do what."""

    file: str
    title: str
    counts: tuple[tuple[str, int], ...]
    unchanged: int
    chosen: int
    all: int
    left_out: bool

    @property
    def matters(self) -> bool:
        """Whether any of its rows would do something, or is refused."""
        return any(count for _, count in self.counts)


@dataclass(frozen=True)
class FieldChange:
    heading: str
    before: str
    after: str
    given_out: str = ""
    is_conflict: bool = False


@dataclass(frozen=True)
class RowView:
    """One row of a sheet: where it stands, what it is called, what it would change."""

    line: int
    key: str
    changes: tuple[FieldChange, ...]
    wanted: bool
    taken: bool


@dataclass(frozen=True)
class FaultView:
    line: int
    column: str
    value: str
    reason: str
    remedy: str


def sheet_counts(upload: Any) -> list[SheetCount]:
    """The sheets of the file that have any row, in the order of the register."""
    found = []
    for file in [name for name in TABLES if name in upload.counts]:
        counts, choice = upload.counts[file], upload.choice.get(file, {})
        sure = counts[Verdict.CHANGED] + counts[Verdict.NEW]
        all_rows = sure + counts[Verdict.CONFLICT]
        leave = choice.get("leave", False)
        picked = sure - len(choice.get("without", ())) + len(choice.get("take", ()))
        chosen = 0 if leave else picked
        by_verdict = tuple((str(verdict), counts[verdict]) for verdict in SHOWN_VERDICTS)
        title, unchanged = counts["title"], counts["unchanged"]
        found.append(SheetCount(file, title, by_verdict, unchanged, chosen, all_rows, leave))
    return found


def total(rows: list[SheetCount], verdict: str) -> int:
    return sum(dict(row.counts)[verdict] for row in rows)


def row_views(file: str, proposals: list[Mapping[str, Any]], choice: Mapping) -> list[RowView]:
    """Rows that change something, with what the reader has chosen for each."""
    table = TABLES[file]
    without, taken = set(choice.get("without", ())), set(choice.get("take", ()))
    return [
        RowView(
            each["line"],
            ", ".join(map(str, each["key"])),
            tuple(_changes(table, each)),
            each["line"] not in without,
            each["line"] in taken,
        )
        for each in proposals
    ]


def fault_views(proposals: list[Mapping[str, Any]]) -> list[FaultView]:
    return [FaultView(each["line"], **fault) for each in proposals for fault in each["faults"]]


def _changes(table: RegisterTable, proposal: Mapping[str, Any]) -> list[FieldChange]:
    if "values" in proposal:
        stated = [
            (name, value)
            for name, value in proposal["values"].items()
            if value not in (None, "") and name not in table.sheet.key
        ]
        return [
            FieldChange(table.heading(name), "", table.in_words(name, value))
            for name, value in stated
        ]
    changes = [
        FieldChange(table.heading(name), _said(table, name, before), _said(table, name, after))
        for name, (before, after) in proposal["fields"].items()
    ]
    return changes + [
        FieldChange(
            table.heading(name),
            _said(table, name, now),
            _said(table, name, mine),
            _said(table, name, was),
            is_conflict=True,
        )
        for name, (was, now, mine) in proposal.get("both", {}).items()
    ]


def _said(table: RegisterTable, name: str, kept: Any) -> str:
    return table.in_words(name, kept) or gettext("not known")


def outcome_rows(upload: Any) -> list[tuple[str, int, int]]:
    """Sheets of an applied upload that had rows: title, rows added, rows changed."""
    return [
        (upload.counts[file]["title"], done["created"], done["changed"])
        for file, done in upload.outcome.items()
        if done["created"] or done["changed"]
    ]
