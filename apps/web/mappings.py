"""A person's own file beside our columns, arranged to be confirmed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from apps.imports.adapters.tables import TABLES, RegisterTable
from apps.imports.services import MappingQuestion

Option = tuple[str, str, bool]


@dataclass(frozen=True)
class ColumnLine:
    """One column of the file: three of its values, and ours to choose from."""

    name: str
    head: str
    examples: tuple[str, ...]
    options: tuple[Option, ...]
    is_known: bool


@dataclass(frozen=True)
class WordLine:
    name: str
    word: str
    meant: str
    options: tuple[Option, ...]


@dataclass(frozen=True)
class WordList:
    """The words of one column. Codes, of which there are many, are typed with ``codes`` to
    choose from; choices stand in lists."""

    column: str
    heading: str
    lines: tuple[WordLine, ...]
    codes: tuple[tuple[str, str], ...]

    @property
    def unknown(self) -> int:
        return sum(not line.meant for line in self.lines)


def word_field(column: str, place: int) -> str:
    """The name of the field for the word at ``place`` of those of ``column``."""
    return f"word-{column}-{place}"


def table_options(chosen: RegisterTable) -> tuple[Option, ...]:
    return tuple((file, table.title, file == chosen.file) for file, table in TABLES.items())


def column_lines(question: MappingQuestion) -> list[ColumnLine]:
    table = question.guess.table
    return [
        ColumnLine(
            name=f"column-{place}",
            head=each.head,
            examples=each.examples,
            options=tuple(
                (column, table.heading(column), column == each.column)
                for column in table.sheet.columns
            ),
            is_known=bool(each.column),
        )
        for place, each in enumerate(question.guess.columns)
    ]


def word_lists(question: MappingQuestion, words: Mapping[str, Mapping[str, str]]) -> list[WordList]:
    return [
        _word_list(question.guess.table, column, meanings) for column, meanings in words.items()
    ]


def missing_names(question: MappingQuestion) -> str:
    table = question.guess.table
    return ", ".join(map(table.heading, question.guess.missing))


def _word_list(table: RegisterTable, column: str, meanings: Mapping[str, str]) -> WordList:
    field = table.fields[column]
    choices = [(str(value), str(label)) for value, label in field.flatchoices if value != ""]
    lines = tuple(
        WordLine(
            name=word_field(column, place),
            word=word,
            meant=meant,
            options=tuple((value, label, value == meant) for value, label in choices),
        )
        for place, (word, meant) in enumerate(meanings.items())
    )
    return WordList(column, table.heading(column), lines, () if choices else _codes(field))


def _codes(field: Any) -> tuple[tuple[str, str], ...]:
    """Code and name of what the field may name; the code again where there is no name."""
    rows = field.related_model._default_manager.order_by("code")
    return tuple((row.code, str(row)) for row in rows)
