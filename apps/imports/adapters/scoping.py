"""What an uploaded file may name: what lies in the areas of the person and of the upload."""

from collections.abc import Iterable
from typing import Any

from django.db.models import Model

from apps.facilities.models import Area, Facility
from apps.facilities.selectors import areas_for, facilities_for
from apps.imports.adapters.known import SPOILED, Key, Known
from apps.inventory.models import EquipmentItem

SCOPED = (Area, Facility, EquipmentItem)
"""What lies in a place, and is named by rows of other tables."""


class Scope(Known):
    """``Known``, in which areas, facilities and devices outside the scope are as absent as none.

    A preview writes nothing, so rows that a file adds are announced here to the rows after
    them; until they exist they have numbers below 0.
    """

    def __init__(self, user: Any, area: Area) -> None:
        super().__init__()
        sites = facilities_for(user).within(area.path).order_by()
        self._rows = {
            Area: areas_for(user).within(area.path),
            Facility: sites,
            EquipmentItem: EquipmentItem.objects.filter(facility__in=sites).order_by(),
        }
        self._within: dict[type[Model], frozenset[int]] = {}
        self._expected: frozenset[type[Model]] = frozenset(SCOPED)
        self._everywhere = user.is_superuser
        self._announced: dict[type[Model], dict[Key, int]] = {}

    def of(self, model: type[Model]) -> dict[Key, int | None]:
        if model not in self._keys:
            rows = super().of(model)
            if model in self._rows:
                inside = self._inside(model)
                kept = {key: pk for key, pk in rows.items() if pk is SPOILED or pk in inside}
                self._keys[model] = kept | self._announced.get(model, {})
        return self._keys[model]

    def admit(self, model: type[Model], codes: list[str]) -> None:
        """Rows of ``model`` were written; those with ``codes`` lie in the scope too."""
        self.renew(model)
        if model in self._rows and codes:
            new = model._default_manager.filter(code__in=codes).values_list("pk", flat=True)
            self._within[model] = self._inside(model) | frozenset(new)

    def expect(self, models: Iterable[type[Model]]) -> None:
        """Only rows of ``models`` are named by others of the file: no other is announced."""
        self._expected = frozenset(SCOPED) & frozenset(models)

    def names(self, model: type[Model]) -> bool:
        """Whether rows after those of ``model`` may name them."""
        return model in self._expected

    def announce(self, model: type[Model], key: Key) -> None:
        """A row of this file will be there under ``key``, and may be named by those after it."""
        known, new = self.of(model), self._announced.setdefault(model, {})
        if known.get(key) is None:
            number = -1 - len(new)
            known[key] = new[key] = number
            self._names[model][number] = ".".join(key)

    def allows(self, places: list[tuple[type[Model], int | None]]) -> bool:
        """Whether a row that belongs to ``places`` may be changed; nowhere is everywhere."""
        stated = [(model, pk) for model, pk in places if pk is not None]
        if not stated:
            return self._everywhere
        return all(pk < 0 or pk in self._inside(model) for model, pk in stated)

    def _inside(self, model: type[Model]) -> frozenset[int]:
        if model not in self._within:
            self._within[model] = frozenset(self._rows[model].values_list("pk", flat=True))
        return self._within[model]
