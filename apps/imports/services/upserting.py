"""Many rows into one table at once, by its own key: added, or overwritten where they are."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connections, router
from django.db.models import DecimalField, Field, JSONField, Model

# What a database takes as it is; all else is prepared by its field.
PLAIN = frozenset({str, int, float, type(None)})


class Upsert:
    """Writes rows of ``model``: the values of ``fields``, and for new rows what the model says
    of the others. A row whose ``key`` is there gets the values of ``fields``.

    An ``INSERT … ON CONFLICT`` for each row, sent together: Django's ``bulk_create`` makes an
    object of every row and prepares every column of it, which takes four times as long.
    """

    def __init__(self, model: type[Model], fields: Sequence[Field], key: Sequence[str]) -> None:
        self._connection = connections[router.db_for_write(model)]
        self._fields = list(fields)
        self._others = [
            each
            for each in model._meta.local_concrete_fields
            if each not in self._fields and not each.primary_key and not each.generated
        ]
        self._model, self._key = model, key
        self._plain = [not isinstance(each, JSONField | DecimalField) for each in fields]

    def __call__(self, rows: Iterable[dict[str, Any]]) -> None:
        """``rows``: field name to value, a reference as the primary key of its target."""
        fresh = self._model()
        others = [self._prepared(each, each.pre_save(fresh, add=True)) for each in self._others]
        lines = [
            [
                value if plain and type(value) in PLAIN else self._prepared(each, value)
                for each, plain in zip(self._fields, self._plain, strict=True)
                for value in (row[each.name],)
            ]
            + others
            for row in rows
        ]
        if lines:
            with self._connection.cursor() as cursor:
                cursor.executemany(self._sql(), lines)

    def _prepared(self, each: Field, value: Any) -> Any:
        return each.get_db_prep_save(value, self._connection)

    def _sql(self) -> str:
        quote = self._connection.ops.quote_name
        names = [each.column for each in (*self._fields, *self._others)]
        key = [self._model._meta.get_field(name).column for name in self._key]
        updated = [each.column for each in self._fields if each.column not in key]
        done = ", ".join(f"{quote(name)} = EXCLUDED.{quote(name)}" for name in updated)
        parts = {
            "table": quote(self._model._meta.db_table),
            "columns": ", ".join(map(quote, names)),
            "values": ", ".join(["%s"] * len(names)),
            "key": ", ".join(map(quote, key)),
            "done": f"DO UPDATE SET {done}" if done else "DO NOTHING",
        }
        # Names of our own tables and columns only, quoted; values are parameters.
        text = "INSERT INTO {table} ({columns}) VALUES ({values}) ON CONFLICT ({key}) {done}"
        return text.format(**parts)
