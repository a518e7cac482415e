"""Tables of which a file has only some columns: what it does not say stays as it is."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from typing import Any

from django.db.models import Field

from apps.imports.adapters.known import Known
from apps.imports.adapters.tables import RegisterTable


def with_columns(table: RegisterTable, columns: Collection[str]) -> RegisterTable:
    """``table`` as a file says it that has just ``columns``; its key must be among them.

    A row that the register has already may be said in part. One that is new must say all
    that a row cannot be without, and is refused with the names of what is lacking.
    """
    sheet = table.sheet
    kept = tuple(name for name in sheet.columns if name in columns)
    if sheet.optional | frozenset(kept) >= frozenset(sheet.columns):
        return table
    # What a whole row is checked for may rest on columns that are not there.
    check = _check_newcomers(table, [name for name in needed(table) if name not in kept])
    part = replace(sheet, columns=kept, check=check, optional=sheet.optional & frozenset(kept))
    return replace(table, sheet=part)


def needed(table: RegisterTable) -> tuple[str, ...]:
    """The columns that no new row can be without."""
    return tuple(
        name
        for name in table.sheet.columns
        if name not in table.sheet.optional and _is_needed(table.fields[name])
    )


def _is_needed(each: Field) -> bool:
    return not (each.null or each.blank or each.has_default())


def _check_newcomers(table: RegisterTable, lacking: list[str]) -> Callable[..., Iterator[str]]:
    names = ", ".join(table.heading(name) for name in lacking)

    def check(row: Mapping[str, Any], known: Known) -> Iterator[str]:
        if lacking and (row["code"],) not in known.of(table.sheet.model):
            yield (
                f"it is not in the register, and the file lacks what a new one must say: {names}."
                " Add these columns, or correct the code if it is there already."
            )

    return check
