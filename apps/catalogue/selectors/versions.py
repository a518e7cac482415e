from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db.models import QuerySet

from apps.catalogue.models import CatalogueVersion

Rows = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class FieldChange:
    """One field of a row: what it was, and what it is; ``None`` where it was or is not there."""

    field: str
    before: Any
    after: Any


@dataclass(frozen=True)
class RowChange:
    """A row that is new, gone, or has other values. ``source``: where its newer values are from."""

    key: str
    kind: str
    fields: tuple[FieldChange, ...]
    source: str


@dataclass(frozen=True)
class TableChange:
    """The rows of one table that differ, by key; ``name`` as people call the table."""

    table: str
    name: str
    rows: tuple[RowChange, ...]


def versions() -> QuerySet[CatalogueVersion]:
    """All published versions, the newest first, without their content."""
    return CatalogueVersion.objects.select_related("published_by").defer("content")


def version(number: int) -> CatalogueVersion:
    """One version with its content. Raises ``CatalogueVersion.DoesNotExist``."""
    return CatalogueVersion.objects.select_related("published_by").get(number=number)


def differences(before: Mapping[str, Rows], after: Mapping[str, Rows]) -> tuple[TableChange, ...]:
    """What changed between two snapshots (``version.values["tables"]``), table by table."""
    compared = (
        TableChange(table, _name(table), tuple(_rows(before.get(table, {}), after.get(table, {}))))
        for table in sorted(before.keys() | after.keys(), key=_place)
    )
    return tuple(table for table in compared if table.rows)


def _rows(before: Rows, after: Rows) -> Iterator[RowChange]:
    for key in sorted(before.keys() | after.keys()):
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        kind = "added" if old is None else "removed" if new is None else "changed"
        source = (new or old or {}).get("source") or ""
        yield RowChange(key, kind, tuple(_fields(old or {}, new or {})), source)


def _fields(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[FieldChange]:
    for field in dict.fromkeys([*new, *old]):
        if old.get(field) != new.get(field):
            yield FieldChange(field, old.get(field), new.get(field))


def _models() -> dict[str, Any]:
    return {
        model._meta.model_name: model for model in apps.get_app_config("catalogue").get_models()
    }


def _name(table: str) -> str:
    """As people call it; a table of an older version that is gone keeps its own name."""
    model = _models().get(table)
    return str(model._meta.verbose_name_plural) if model else table


def _place(table: str) -> tuple[int, str]:
    """In the order in which tables build on each other; those that are gone come last."""
    order = list(_models())
    return (order.index(table) if table in order else len(order)), table
