"""Checked rows into a table: only what is new or different is written."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Field, ForeignKey, ManyToManyField

from apps.imports.adapters.known import Known
from apps.imports.adapters.rows import Row, Values
from apps.imports.adapters.sheets import Sheet
from apps.imports.adapters.stored import Key, key_of, single_fields, stored_rows
from apps.imports.services.upserting import Upsert

BATCH = 1000


@dataclass
class Change:
    """What loading did to one table; ``changed`` maps a row to its fields before and after."""

    created: int = 0
    changed: dict[str, dict[str, list[Any]]] = field(default_factory=dict)
    removed: list[str] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.created or self.changed or self.removed)

    def add(self, other: "Change") -> None:
        """What was done to more rows of the same table."""
        self.created += other.created
        self.changed |= other.changed
        self.removed += other.removed

    @property
    def counts(self) -> dict[str, int]:
        return {
            "created": self.created,
            "changed": len(self.changed),
            "removed": len(self.removed),
        }


def write(sheet: Sheet, rows: Iterable[Row], known: Known) -> Change:
    """Make the table hold ``rows``, and of the owners that they name nothing else."""
    return Table(sheet, known).write([row.values for row in rows])


class Table:
    """The table of one sheet; rows are known by the values of ``sheet.key``."""

    def __init__(self, sheet: Sheet, known: Known) -> None:
        self._sheet, self._known = sheet, known
        self._manager = sheet.model._default_manager
        self._several = [each for each in sheet.fields if isinstance(each, ManyToManyField)]
        self._single = single_fields(sheet)

    def write(self, rows: list[Values]) -> Change:
        change, stored = Change(), stored_rows(self._sheet)
        wanted = {self._key(values): values for values in rows}
        different = []
        for key, values in wanted.items():
            if key not in stored:
                change.created += 1
                different.append(values)
            elif fields := self._difference(stored[key], values):
                change.changed[self._called(key)] = fields
                different.append(values)
        self.save(different)
        if self._sheet.owner:
            change.removed = self._remove(wanted, stored)
        for each in self._several:
            self._write_several(each, wanted, stored.keys(), change)
        return change

    def save(self, rows: list[Values]) -> None:
        """Add ``rows``, or overwrite those that have their keys; nothing else is looked at."""
        if self._sheet.one_by_one:
            self._save_one_by_one(rows)
        else:
            Upsert(self._sheet.model, self._single, self._sheet.key)(rows)

    def _save_one_by_one(self, rows: list[Values]) -> None:
        for values in rows:
            named = {each.attname: values[each.name] for each in self._key_fields()}
            row = self._manager.filter(**named).first() or self._sheet.model()
            for name, value in self._columns(values).items():
                setattr(row, name, value)
            row.save()

    def _remove(self, wanted: dict[Key, Values], stored: dict[Key, Values]) -> list[str]:
        owner = self._sheet.owner
        owners = {values[owner] for values in wanted.values()}
        gone = [
            key for key, values in stored.items() if key not in wanted and values[owner] in owners
        ]
        for key in gone:
            named = {each.attname: part for each, part in zip(self._key_fields(), key, strict=True)}
            self._manager.filter(**named).delete()
        return [self._called(key) for key in gone]

    def _write_several(
        self, each: ManyToManyField, wanted: dict[Key, Values], old: Iterable[Key], change: Change
    ) -> None:
        """Give each row the set of others that its cell names."""
        through = each.remote_field.through.objects
        own, other = each.m2m_column_name(), each.m2m_reverse_name()
        held: dict[int, set[int]] = {}
        for pk, target in through.values_list(own, other):
            held.setdefault(pk, set()).add(target)
        names = [field.attname for field in self._key_fields()]
        pks = {tuple(key): pk for *key, pk in self._manager.values_list(*names, "pk")}
        added, old = [], set(old)
        for key, values in wanted.items():
            pk, before, after = pks[key], held.get(pks[key], set()), values[each.name]
            if before != after and key in old:
                texts = [self._texts(each, before), self._texts(each, after)]
                change.changed.setdefault(self._called(key), {})[each.name] = texts
            if gone := before - after:
                through.filter(**{own: pk, f"{other}__in": gone}).delete()
            added += [through.model(**{own: pk, other: target}) for target in after - before]
        through.bulk_create(added, batch_size=BATCH)

    def _difference(self, before: Values, after: Values) -> dict[str, list[Any]]:
        return {
            each.name: [self._text(each, before[each.name]), self._text(each, after[each.name])]
            for each in self._single
            if before[each.name] != after[each.name]
        }

    def _columns(self, values: Values) -> Values:
        return {each.attname: values[each.name] for each in self._single}

    def _key(self, values: Values) -> Key:
        return key_of(self._sheet, values)

    def _key_fields(self) -> list[Field]:
        return [self._sheet.model._meta.get_field(name) for name in self._sheet.key]

    def _called(self, key: Key) -> str:
        parts = zip(self._key_fields(), key, strict=True)
        return ", ".join(str(self._text(each, part)) for each, part in parts)

    def _text(self, each: Field, value: Any) -> Any:
        if isinstance(each, ForeignKey) and value is not None:
            return self._known.name(each.related_model, value)
        return value

    def _texts(self, each: ManyToManyField, pks: Iterable[int]) -> list[str]:
        return sorted(self._known.name(each.related_model, pk) for pk in pks)
