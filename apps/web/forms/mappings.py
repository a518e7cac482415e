"""Which column of a person's own file is which of ours, and what its words mean."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from apps.web.mappings import word_field


@dataclass(frozen=True)
class Mapped:
    """What a person chose; ``columns`` is empty where another table or sheet is to be looked at."""

    table: str
    sheet: str
    columns: tuple[str, ...]

    @classmethod
    def of(cls, given: Mapping[str, Any]) -> "Mapped":
        table, sheet = given.get("table", ""), given.get("sheet", "")
        same = given.get("of") == f"{table}|{sheet}"
        columns: list[str] = []
        while same and (name := f"column-{len(columns)}") in given:
            columns.append(given[name])
        return cls(table, sheet, tuple(columns))


def chosen_words(
    given: Mapping[str, Any], words: Mapping[str, Mapping[str, str]]
) -> dict[str, dict[str, str]]:
    """``words`` with the meanings that were typed or chosen for them."""
    return {
        column: {
            word: str(given.get(word_field(column, place), meant)).strip()
            for place, (word, meant) in enumerate(meanings.items())
        }
        for column, meanings in words.items()
    }
