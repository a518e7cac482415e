"""Proposals that were accepted, as edits of rows: from what to what."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from apps.imports.adapters.kept import unpacked
from apps.imports.adapters.proposing import Proposal
from apps.imports.choices import Verdict


@dataclass(frozen=True)
class Edit:
    """One row of a table, known by its kept ``key``; ``fields``: name to kept from and to.

    A new row is from nothing at all, which is told apart by ``is_new``.
    """

    line: int
    key: tuple[Any, ...]
    fields: Mapping[str, tuple[Any, Any]]
    is_new: bool = False
    is_gone: bool = False

    @property
    def called(self) -> str:
        return ", ".join(map(str, self.key))

    def side(self, side: int) -> dict[str, Any] | None:
        """The fields before (0) or after (1); ``None`` where there is no row."""
        if (self.is_new and side == 0) or (self.is_gone and side == 1):
            return None
        return {name: values[side] for name, values in self.fields.items()}

    def told(self) -> str:
        """The edit as a line of JSON, for a digest."""
        return json.dumps([self.key, self.side(0), self.side(1)], sort_keys=True) + "\n"

    def reversed(self) -> "Edit":
        fields = {name: (after, before) for name, (before, after) in self.fields.items()}
        return Edit(self.line, self.key, fields, is_new=self.is_gone, is_gone=self.is_new)


def edits_of(verdict: str, content: bytes, choice: Mapping[str, Any]) -> list[Edit]:
    """What of a piece of proposals is to be done, by the person's ``choice`` for its sheet."""
    if choice.get("leave"):
        return []
    without, taken = set(choice.get("without", ())), set(choice.get("take", ()))
    rows = (row for row in unpacked(content) if row["line"] not in without)
    edits = (_edit(verdict, row, row["line"] in taken) for row in rows)
    return [edit for edit in edits if edit.fields]


def _edit(verdict: str, row: Proposal, take: bool) -> Edit:
    if verdict == Verdict.NEW:
        fields = {name: (None, value) for name, value in row["values"].items()}
        return Edit(row["line"], tuple(row["key"]), fields, is_new=True)
    fields = {name: (before, after) for name, (before, after) in row["fields"].items()}
    if take:
        fields |= {name: (now, mine) for name, (_, now, mine) in row.get("both", {}).items()}
    return Edit(row["line"], tuple(row["key"]), fields)
