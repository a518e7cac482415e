"""What may be chosen in the cells of a workbook: the drop-downs, and what a cell shows."""

from typing import Any

from django.db.models import Field, ForeignKey, Model, QuerySet

from apps.facilities.models import Area, Facility
from apps.imports.adapters.register_rows import Places
from apps.imports.adapters.tables import RegisterTable


class Lists:
    """Every list of choices, once: of a table that rows refer to, or of a field."""

    def __init__(self, places: Places) -> None:
        self._places = places
        self._shown: dict[type[Model], dict[str, str]] = {}
        self.entries: dict[str, list[str]] = {}

    def name(self, table: RegisterTable, column: str) -> str:
        """The name of the list for ``column``; empty where anything may be typed."""
        field = table.fields[column]
        if isinstance(field, ForeignKey):
            name = f"list_{field.related_model._meta.model_name}"
            self.entries.setdefault(name, list(self._of(field).values()))
            return name
        if not field.choices:
            return ""
        name = f"list_{field.model._meta.model_name}_{field.name}"
        labels = [str(label) for value, label in field.flatchoices if value != ""]
        self.entries.setdefault(name, labels)
        return name

    def shown(self, table: RegisterTable, column: str) -> dict[Any, str] | None:
        """Values of ``column`` to what a cell shows for them; ``None``: as they are."""
        field = table.fields[column]
        if isinstance(field, ForeignKey):
            return self._of(field)
        if field.choices:
            return {value: str(label) for value, label in field.flatchoices if value != ""}
        return None

    def _of(self, field: Field) -> dict[str, str]:
        model = field.related_model
        if model not in self._shown:
            named = self._rows(model).order_by("code").values_list("code", "name")
            self._shown[model] = {code: f"{name} ({code})" for code, name in named}
        return self._shown[model]

    def _rows(self, model: type[Model]) -> QuerySet:
        if model is Facility:
            return self._places.sites
        return self._places.areas if model is Area else model._default_manager.all()
