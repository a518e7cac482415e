"""Which column of a file is which of ours: by its name, what else it is called, and its values."""

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.db.models import ForeignKey

from apps.imports.adapters.cell_texts import ColumnTexts
from apps.imports.adapters.cells import CellError, value_of
from apps.imports.adapters.mapping.signatures import normal
from apps.imports.adapters.mapping.synonyms import HEADS
from apps.imports.adapters.mapping.words import has_words, meanings
from apps.imports.adapters.table_reading import essential
from apps.imports.adapters.tables import TABLES, RegisterTable

LIKELY = 0.55
SAMPLED = 50
SHOWN = 3
ALIKE = 0.65
"""How alike a heading and a name of a column must be for the values to be looked at."""
SPEAK_FOR_THEMSELVES = 0.8
"""Share of values that name sites, models and the like, at which the heading matters little."""
VALUES_COUNT = 0.35
"""How much of a column's likeness its values make; its name makes the rest."""


@dataclass(frozen=True)
class ColumnGuess:
    """One column of a file: its heading, a few of its values, and ours that it seems to be."""

    head: str
    examples: tuple[str, ...]
    column: str
    likeness: float


@dataclass(frozen=True)
class Guess:
    """The table that a file seems to be, and its columns in their order."""

    table: RegisterTable
    columns: tuple[ColumnGuess, ...]

    def chosen(self, columns: Sequence[str]) -> "Guess":
        """The same with ``columns`` as a person chose them; those of another table are none."""
        own = [column if column in self.table.fields else "" for column in columns]
        return replace(
            self,
            columns=tuple(
                replace(each, column=column, likeness=1.0 if column else 0.0)
                for each, column in zip(self.columns, own, strict=True)
            ),
        )

    @property
    def missing(self) -> tuple[str, ...]:
        """Our columns that a file of this table cannot be without, and that none seems to be."""
        found = {each.column for each in self.columns}
        return tuple(name for name in self.table.sheet.columns
                     if name in essential(self.table) - found)  # fmt: skip


def suggest(
    heads: Sequence[str], rows: Sequence[Sequence[str]], table: RegisterTable | None = None
) -> Guess:
    """What ``heads`` seem to be, with the first ``rows`` beside them; of ``table`` if given."""
    among = [table] if table else list(TABLES.values())
    guesses = [_guess(heads, rows[:SAMPLED], each) for each in among]
    return max(guesses, key=_worth)


def _worth(guess: Guess) -> float:
    """Tables of which the file has much, and lacks little that matters, come first."""
    return sum(each.likeness for each in guess.columns) - len(guess.missing)


def _guess(heads: Sequence[str], rows: Sequence[Sequence[str]], table: RegisterTable) -> Guess:
    values = [[row[at] for row in rows if row[at]] for at in range(len(heads))]
    pairs = [
        (_likeness(head, values[at], table, column), at, column)
        for at, head in enumerate(heads)
        if head
        for column in table.sheet.columns
    ]
    chosen: dict[int, tuple[str, float]] = {}
    taken: set[str] = set()
    for likeness, at, column in sorted(pairs, key=lambda pair: (-pair[0], pair[1])):
        if likeness >= LIKELY and at not in chosen and column not in taken:
            chosen[at] = (column, likeness)
            taken.add(column)
    return Guess(
        table,
        tuple(
            ColumnGuess(head, _examples(values[at]), *chosen.get(at, ("", 0.0)))
            for at, head in enumerate(heads)
        ),
    )


def _examples(values: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(values))[:SHOWN]


def _likeness(head: str, values: Sequence[str], table: RegisterTable, column: str) -> float:
    named = _named(normal(head), table, column)
    if named >= ALIKE:
        fitting = _fitting(values, table, column) if values else 1.0
        return (1 - VALUES_COUNT) * named + VALUES_COUNT * fitting
    if values and isinstance(table.fields[column], ForeignKey):
        fitting = _fitting(values, table, column)
        return ALIKE * fitting if fitting >= SPEAK_FOR_THEMSELVES else 0.0
    return 0.0


def _named(head: str, table: RegisterTable, column: str) -> float:
    own = {normal(column), normal(table.heading(column))}
    if head in own:
        return 1.0
    special = {*HEADS.get(f"{table.file}/{column}", ())}
    if head in special:
        return 0.97
    general = {*HEADS.get(column, ())}
    if head in general:
        return 0.93
    return 0.9 * max(
        (difflib.SequenceMatcher(None, head, each).ratio() for each in own | special | general),
        default=0.0,
    )


def _fitting(values: Sequence[str], table: RegisterTable, column: str) -> float:
    """Which share of ``values`` could stand in the column."""
    field = table.fields[column]
    if has_words(field):
        meant: Mapping[str, str] = meanings(field, column, set(values))
        return sum(bool(meant[value]) for value in values) / len(values)
    texts = ColumnTexts(field)
    readable = 0
    for value in values:
        try:
            value_of(field, as_code(value) if column == "code" else texts(value))
        except CellError:
            continue
        readable += 1
    return readable / len(values)


def as_code(text: str) -> str:
    """What a district calls a row by, in the letters that a code may have: ``PHC/12 a`` is
    ``phc-12-a``."""
    return "-".join(normal(text).split())
