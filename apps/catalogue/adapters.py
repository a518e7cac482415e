"""The catalogue as plain values, table by table, so that versions of it can be kept and held
against each other. Works for any table of this app: keys and fields come from the models.
"""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db.models import Field, ForeignKey, Model, UniqueConstraint

from apps.catalogue.models import CatalogueVersion

Tables = dict[str, dict[str, dict[str, Any]]]
"""Table to row, by its natural key, to field to value."""


def snapshot() -> Tables:
    """Every row of the catalogue; a query for each table and each many-to-many field.

    Rows are known by their code, or by the fields that are unique together, joined by
    " / "; so are rows that others refer to. Amounts are text without needless zeros.
    """
    return _Reader().tables()


class _Reader:
    def __init__(self) -> None:
        self._keys: dict[type[Model], dict[int, str]] = {}
        self._rows: dict[type[Model], dict[str, dict[str, Any]]] = {}

    def tables(self) -> Tables:
        for model in _models():
            self._read(model)
        return {
            model._meta.model_name: rows
            for model, rows in sorted(self._rows.items(), key=lambda pair: pair[0]._meta.model_name)
        }

    def _key(self, model: type[Model], pk: int | None) -> str | None:
        if model not in self._keys:
            self._read(model)
        return None if pk is None else self._keys[model][pk]

    def _read(self, model: type[Model]) -> None:
        """Rows and keys of ``model``, those it refers to first."""
        if model in self._keys:
            return
        fields = [field for field in model._meta.concrete_fields if not field.primary_key]
        several = {field.name: self._several(field) for field in model._meta.many_to_many}
        keys, rows = {}, {}
        attnames = [field.attname for field in fields]
        for pk, *values in model._default_manager.order_by("pk").values_list("pk", *attnames):
            row = {
                field.name: self._plain(field, value)
                for field, value in zip(fields, values, strict=True)
            }
            keys[pk] = " / ".join(str(row[name]) for name in _key_fields(model))
            rows[keys[pk]] = row | {name: held.get(pk, []) for name, held in several.items()}
        self._keys[model], self._rows[model] = keys, rows

    def _several(self, field: Any) -> dict[int, list[str]]:
        held: dict[int, list[str]] = {}
        names = field.m2m_column_name(), field.m2m_reverse_name()
        for pk, other in field.remote_field.through._default_manager.values_list(*names):
            held.setdefault(pk, []).append(str(self._key(field.related_model, other)))
        return {pk: sorted(others) for pk, others in held.items()}

    def _plain(self, field: Field, value: Any) -> Any:
        if isinstance(field, ForeignKey):
            return self._key(field.related_model, value)
        if isinstance(value, Decimal):
            return format(value.normalize(), "f")
        return value.isoformat() if hasattr(value, "isoformat") else value


def _models() -> Iterable[type[Model]]:
    return (
        model
        for model in apps.get_app_config("catalogue").get_models()
        if model is not CatalogueVersion
    )


def _key_fields(model: type[Model]) -> tuple[str, ...]:
    """The fields by which people tell the rows of ``model`` apart."""
    if any(field.name == "code" and field.unique for field in model._meta.concrete_fields):
        return ("code",)
    for constraint in model._meta.constraints:
        if isinstance(constraint, UniqueConstraint):
            return tuple(constraint.fields)
    raise TypeError(f"{model.__name__} has neither a unique code nor fields unique together.")
