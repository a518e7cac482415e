"""What a table says now, by the keys that files know its rows by."""

from collections.abc import Collection, Iterable
from typing import Any

from django.db.models import Field, ManyToManyField

from apps.imports.adapters.rows import Values
from apps.imports.adapters.sheets import Sheet

Key = tuple[Any, ...]


def single_fields(sheet: Sheet) -> list[Field]:
    """The fields of ``sheet`` that are columns of its table."""
    return [each for each in sheet.fields if not isinstance(each, ManyToManyField)]


def key_of(sheet: Sheet, values: Values) -> Key:
    return tuple(values[name] for name in sheet.key)


def stored_rows(sheet: Sheet, keys: Collection[Key] | None = None) -> dict[Key, Values]:
    """The rows of the table, or those with ``keys``, by key; one query."""
    fields = single_fields(sheet)
    rows = sheet.model._default_manager.order_by()
    if keys is not None:
        first = sheet.model._meta.get_field(sheet.key[0]).attname
        rows = rows.filter(**{f"{first}__in": {key[0] for key in keys}})
    names = [each.name for each in fields]
    found: Iterable[Values] = (
        dict(zip(names, row, strict=True))
        for row in rows.values_list(*(each.attname for each in fields)).iterator(chunk_size=2000)
    )
    by_key = {key_of(sheet, values): values for values in found}
    return by_key if keys is None else {key: by_key[key] for key in keys if key in by_key}
