"""Readings of a verification as text in columns, read strictly: each mistake with its row."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from apps.inventory.choices import VerificationKind as Kind
from planner.engine.agreement.readings import MOST

# Columns of each kind; those in brackets may be left out in every row, or in none.
COLUMNS: dict[str, tuple[str, ...]] = {
    Kind.SPIN: ("[run]", "seconds", "rpm"),
    Kind.PAIRED: ("device", "reference", "[repeat]"),
    Kind.YES_NO: ("device", "reference"),
    Kind.TEMPERATURE: ("stated", "found"),
    Kind.TIMER: ("stated", "found"),
    Kind.VOLUME: ("stated", "found"),
    Kind.WAVELENGTH: ("stated", "found"),
}
NUMBER = re.compile(r"[-+\N{MINUS SIGN}]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d+)?", re.ASCII)
YES = frozenset({"1", "yes", "y", "pos", "positive", "+", "reactive"})
NO = frozenset({"0", "no", "n", "neg", "negative", "-", "\N{MINUS SIGN}", "non-reactive"})
LONGEST_TEXT = 200_000
SHOWN = 20


class ReadingsError(ValueError):
    """Readings that cannot be used: ``problems`` has one line for each mistake, its row first."""

    def __init__(self, problems: Sequence[str]) -> None:
        self.problems = tuple(problems[:SHOWN])
        if len(problems) > SHOWN:
            self.problems += (f"and {len(problems) - SHOWN} more of the kind",)
        super().__init__("; ".join(self.problems))


@dataclass(frozen=True)
class Readings:
    """Rows of numbers under ``columns``; yes is 1 and no is 0."""

    columns: tuple[str, ...]
    rows: tuple[tuple[float, ...], ...]

    def column(self, name: str) -> list[float]:
        """The numbers under ``name``; empty where the column was left out."""
        if name not in self.columns:
            return []
        at = self.columns.index(name)
        return [row[at] for row in self.rows]

    def as_json(self) -> dict[str, Any]:
        return {"columns": list(self.columns), "rows": [list(row) for row in self.rows]}

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> "Readings":
        return cls(tuple(kept["columns"]), tuple(tuple(row) for row in kept["rows"]))


def parse_readings(kind: str, text: str) -> Readings:
    """Lines of numbers, parted by spaces, tabs, commas or semicolons, with or without heads.

    Raises ``ReadingsError`` with a line for each mistake; blank lines are nothing.
    """
    if len(text) > LONGEST_TEXT:
        raise ReadingsError([f"the readings are longer than {LONGEST_TEXT} characters"])
    lines = [(at, line) for at, line in enumerate(text.splitlines(), 1) if line.strip()]
    cells = [(at, _parts(line)) for at, line in lines]
    if cells and _is_head(kind, cells[0][1]):
        cells = cells[1:]
    if len(cells) > MOST:
        raise ReadingsError([f"expected at most {MOST} rows, found {len(cells)}"])
    if not cells:
        raise ReadingsError([f"expected rows of {in_words(kind)}, found none"])
    columns = columns_of(kind, len(cells[0][1]))
    problems: list[str] = []
    rows = [row for at, parts in cells if (row := _row(kind, at, parts, columns, problems))]
    if problems:
        raise ReadingsError(problems)
    return Readings(columns, tuple(rows))


def _parts(line: str) -> list[str]:
    """Cells of a line; a comma parts them only where neither a tab nor a semicolon does.

    So a decimal comma is seen as a mistake in what a spreadsheet gives, not as two cells.
    """
    for mark in "\t;,":
        if mark in line:
            return [part.strip() for part in line.strip(" ").split(mark)]
    return line.split()


def columns_of(kind: str, width: int) -> tuple[str, ...]:
    """The columns of a table of ``width``: the optional ones only where there is room."""
    needed = [name for name in COLUMNS[kind] if name[0] != "["]
    every = COLUMNS[kind] if width > len(needed) else needed
    return tuple(name.strip("[]") for name in every)


def in_words(kind: str) -> str:
    """``device, reference, repeat (may be left out)``, in the order they are read in."""
    names = (
        f"{name.strip('[]')} (may be left out)" if name[0] == "[" else name
        for name in COLUMNS[kind]
    )
    return ", ".join(names)


def _is_head(kind: str, parts: Sequence[str]) -> bool:
    names = {name.strip("[]") for name in COLUMNS[kind]}
    return all(part.casefold() in names for part in parts)


def _row(
    kind: str, at: int, parts: Sequence[str], columns: Sequence[str], problems: list[str]
) -> tuple[float, ...]:
    if len(parts) != len(columns):
        wanted = ", ".join(columns)
        problems.append(
            f"row {at}: expected {len(columns)} values ({wanted}), found {len(parts)}. "
            "Write decimals with a point"
        )
        return ()
    faults = list(_faults(kind, at, parts, columns))
    problems += faults
    return () if faults else tuple(_value(kind, part) for part in parts)


def _faults(kind: str, at: int, parts: Sequence[str], columns: Sequence[str]) -> Iterator[str]:
    for part, name in zip(parts, columns, strict=True):
        if kind == Kind.YES_NO and part.casefold() not in YES | NO:
            yield f"row {at}, {name}: expected yes or no, found {part!r}"
        elif kind != Kind.YES_NO and not NUMBER.fullmatch(part):
            yield f"row {at}, {name}: expected a number such as 12.5, found {part!r}"


def _value(kind: str, part: str) -> float:
    if kind == Kind.YES_NO:
        return 1.0 if part.casefold() in YES else 0.0
    return float(part.replace("\N{MINUS SIGN}", "-"))
