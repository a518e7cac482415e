"""The grid of sites and tests, arranged and written as light table cells.

A district has some thousands of cells, so a cell is one table cell with a one-letter class
and one link; the glyph is drawn by ``components/coverage_grid.css``.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.urls import reverse
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from apps.coverage.choices import State

LETTERS = {
    State.RUNS: "r",
    State.REFERRED: "f",
    State.BLOCKED: "b",
    State.UNKNOWN: "u",
    State.NOT_EXPECTED: "n",
}


@dataclass(frozen=True)
class Column:
    """A test; ``starts_programme`` where the line before it parts two programmes."""

    test: Any
    starts_programme: bool


@dataclass(frozen=True)
class Row:
    name: str
    href: str
    cells: SafeString


@dataclass(frozen=True)
class Block:
    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Selection:
    """Positions of the tests, and the rows, that a text leaves over."""

    tests: tuple[int, ...]
    rows: tuple[Any, ...]


def select(tests: Sequence[Any], rows: Sequence[Any], text: str) -> Selection:
    """What ``text`` names: sites, tests, or both; what it does not name stays whole.

    A text that names neither leaves nothing.
    """
    sought = text.strip().casefold()
    everything = Selection(tuple(range(len(tests))), tuple(rows))
    if not sought:
        return everything
    named_tests = tuple(at for at, test in enumerate(tests) if sought in test.name.casefold())
    named_rows = tuple(row for row in rows if sought in row.facility.name.casefold())
    if not named_tests and not named_rows:
        return Selection((), ())
    return Selection(named_tests or everything.tests, named_rows or everything.rows)


def columns(tests: Iterable[Any]) -> list[Column]:
    """The tests in their order, with a mark where a new programme begins."""
    found: list[Column] = []
    for test in tests:
        starts = bool(found) and found[-1].test.programme_id != test.programme_id
        found.append(Column(test, starts))
    return found


def blocks(selection: Selection, tests: Sequence[Any]) -> list[Block]:
    """The rows under their blocks; rows must come sorted by block."""
    codes = [tests[at].code for at in selection.tests]
    return [
        Block(area.name, tuple(_row(row, selection.tests, codes) for row in rows))
        for area, rows in groupby(selection.rows, key=lambda row: row.facility.area)
    ]


def _row(row: Any, positions: Sequence[int], codes: Sequence[str]) -> Row:
    href = reverse("web:site-detail", args=[row.facility.code])
    cells = (
        _cell(row.cells[position], f"{href}#test-{code}")
        for position, code in zip(positions, codes, strict=True)
    )
    return Row(row.facility.name, href, format_html_join("", "<td class={}>{}</td>", cells))


def _cell(finding: Any | None, href: str) -> tuple[str, str | SafeString]:
    if finding is None:
        return "o", gettext("Not worked out")
    letter, words = LETTERS[State(finding.state)], State(finding.state).label
    if finding.state == State.NOT_EXPECTED:
        return letter, words
    return letter, format_html_join("", '<a href="{}">{}</a>', [(href, words)])
