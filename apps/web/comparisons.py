"""Two catalogues held against each other, arranged for reading."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.catalogue.selectors import RowChange, TableChange
from apps.coverage.adapters import CellChange
from apps.coverage.choices import State


@dataclass(frozen=True)
class SiteChange:
    """A site with the tests whose state another catalogue changes there."""

    code: str
    name: str
    tests: tuple["TestChange", ...]


@dataclass(frozen=True)
class TestChange:
    """One test: the state under each catalogue; blank: the catalogue does not have the test."""

    code: str
    name: str
    before: str
    after: str


@dataclass(frozen=True)
class ComparedField:
    """A field and its values as text; blank: it was, or is, not there."""

    name: str
    before: str
    after: str


@dataclass(frozen=True)
class ComparedRow:
    """A row that is ``added``, ``removed`` or ``changed``, and the source of its values."""

    key: str
    kind: str
    source: str
    fields: tuple[ComparedField, ...]


@dataclass(frozen=True)
class ComparedTable:
    """A table's rows that differ, and how many of each kind, in words."""

    name: str
    counts: str
    rows: tuple[ComparedRow, ...]


def compared(tables: Iterable[TableChange]) -> list[ComparedTable]:
    """Each table with its rows that differ."""
    return [
        ComparedTable(table.name, _counts(table.rows), tuple(_row(row) for row in table.rows))
        for table in tables
    ]


def by_site(
    changes: Iterable[CellChange], sites: Mapping[str, str], tests: Mapping[str, str]
) -> list[SiteChange]:
    """Sites with most changes first; ``sites`` and ``tests`` are names by code."""
    found: dict[str, list[TestChange]] = {}
    for change in changes:
        found.setdefault(change.site, []).append(
            TestChange(
                change.test,
                tests.get(change.test, change.test),
                _words(change.before),
                _words(change.after),
            )
        )
    rows = [SiteChange(code, sites.get(code, code), tuple(of)) for code, of in found.items()]
    return sorted(rows, key=lambda row: (-len(row.tests), row.name))


def _row(row: RowChange) -> ComparedRow:
    fields = (
        ComparedField(each.field.replace("_", " "), _text(each.before), _text(each.after))
        for each in row.fields
    )
    return ComparedRow(row.key, row.kind, row.source, tuple(fields))


def _text(value: Any) -> str:
    """A value of the catalogue as it stands in its files."""
    match value:
        case None | "":
            return ""
        case str():
            return value
        case list() if all(isinstance(part, str) for part in value):
            return ", ".join(value)
    return json.dumps(value, ensure_ascii=False)


def _counts(rows: Iterable[RowChange]) -> str:
    kinds = [row.kind for row in rows]
    words = {
        "added": gettext("%(n)d new"),
        "changed": gettext("%(n)d changed"),
        "removed": gettext("%(n)d removed"),
    }
    return ", ".join(
        text % {"n": kinds.count(kind)} for kind, text in words.items() if kind in kinds
    )


def _words(state: Any) -> str:
    return "" if state is None else str(State(state.value).label)
