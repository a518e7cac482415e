"""Which rows there are, by the texts that files call them by."""

import difflib
from typing import Any

from django.db.models import Model

from apps.catalogue.models import Attribute, Need

Key = tuple[str, ...]

# What files call a row where it has no code that is unique by itself.
NAMED_BY: dict[type[Model], tuple[str, ...]] = {
    Attribute: ("device_class__code", "code"),
    Need: ("method__code", "position"),
}
SPOILED = None
"""In place of a primary key: the row stands in a file, but has a mistake of its own."""


class Known:
    """Primary keys by what files call the rows; each table is read once, until ``renew``."""

    def __init__(self) -> None:
        self._keys: dict[type[Model], dict[Key, int | None]] = {}
        self._names: dict[type[Model], dict[int, str]] = {}
        self._facts: dict[tuple[type[Model], str], dict[int, Any]] = {}
        self._spoiled: dict[type[Model], set[Key]] = {}

    def of(self, model: type[Model]) -> dict[Key, int | None]:
        if model not in self._keys:
            names = NAMED_BY.get(model, ("code",))
            rows = model._default_manager.order_by().values_list("pk", *names)
            keys: dict[Key, int | None] = {tuple(map(str, key)): pk for pk, *key in rows}
            self._names[model] = {pk: ".".join(key) for key, pk in keys.items() if pk}
            spoiled = self._spoiled.get(model, ())
            self._keys[model] = keys | dict.fromkeys(spoiled, SPOILED)
        return self._keys[model]

    def renew(self, model: type[Model]) -> None:
        """Rows of ``model`` were written; what is spoiled stays spoiled."""
        self._keys.pop(model, None)
        self._facts = {key: value for key, value in self._facts.items() if key[0] is not model}

    def spoil(self, model: type[Model], key: Key) -> None:
        """Remember that a file has the row, but with a mistake."""
        self._spoiled.setdefault(model, set()).add(key)
        if model in self._keys:
            self._keys[model][key] = SPOILED

    def name(self, model: type[Model], pk: int) -> str:
        """What files call the row with primary key ``pk``."""
        self.of(model)
        return self._names[model][pk]

    def fact(self, model: type[Model], pk: int, field: str) -> Any:
        """One field of one row; a query for the first of each field."""
        if (model, field) not in self._facts:
            self._facts[model, field] = dict(model._default_manager.values_list("pk", field))
        return self._facts[model, field][pk]

    def similar(self, model: type[Model], key: Key) -> str:
        """``; did you mean …?`` where a last part of a key is close to that of ``key``."""
        names = {known[-1] for known in self.of(model) if known[:-1] == key[:-1]}
        near = difflib.get_close_matches(key[-1], names, n=1)
        return f"; did you mean {near[0]}?" if near else "."
