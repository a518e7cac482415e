"""Rows that an upload added, taken away again."""

from collections.abc import Iterable

from django.db.models import ProtectedError

from apps.imports.adapters.stored import Key
from apps.imports.adapters.tables import RegisterTable
from apps.imports.services.refusing import NOT_UNDONE, NotAsExpectedError


def remove_added(table: RegisterTable, keys: Iterable[Key]) -> None:
    """Take away rows that the upload added, and nothing that others have hung on them."""
    for key in keys:
        parts = zip(table.sheet.key, key, strict=True)
        named = {table.fields[name].attname: part for name, part in parts}
        try:
            _, removed = table.sheet.model._default_manager.filter(**named).delete()
        except ProtectedError as held:
            _held(table, key, {type(row) for row in held.protected_objects}, held)
        else:
            _held(table, key, _others(removed, table), None)


def _held(table: RegisterTable, key: Key, models: set[type], cause: Exception | None) -> None:
    if models:
        names = ", ".join(sorted(str(model._meta.verbose_name_plural) for model in models))
        called = ", ".join(map(str, key))
        raise NotAsExpectedError(
            f"{table.title}: {called} has {names} by now, which would be lost.",
            remedy=NOT_UNDONE,
        ) from cause


def _others(removed: dict[str, int], table: RegisterTable) -> set[type]:
    own = table.sheet.model
    labels = {label for label in removed if label != own._meta.label}
    return {own._meta.apps.get_model(label) for label in labels}
