"""Values of rows as plain JSON, references by code: what proposals and workbooks keep."""

import datetime as dt
import json
import math
import zlib
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db.models import DateField, DecimalField, Field, ForeignKey

from apps.imports.adapters.known import Known

QUICK = 1  # zlib's level: a third of the time of the default, a tenth larger


def keep(each: Field, value: Any, known: Known) -> Any:
    """``value`` of the field ``each`` as JSON."""
    if value is None:
        return None
    if isinstance(each, ForeignKey):
        return known.name(each.related_model, value)
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return value


def release(each: Field, kept: Any, known: Known) -> Any:
    """The value that ``keep`` was given. Raises ``KeyError`` where a reference is gone."""
    if kept is None:
        return None
    if isinstance(each, ForeignKey):
        pk = known.of(each.related_model)[kept,]
        if pk is None:
            raise KeyError(kept)
        return pk
    if isinstance(each, DateField):
        return dt.date.fromisoformat(kept)
    if isinstance(each, DecimalField):
        return Decimal(kept)
    return kept


def same(one: Any, other: Any) -> bool:
    """Whether two kept values mean the same.

    A spreadsheet keeps 15 to 17 digits of a number and nobody sees blanks at the ends of a text.
    """
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=1e-14, abs_tol=0.0)
    if isinstance(one, str) and isinstance(other, str):
        return "\n".join(one.split("\r\n")).strip() == "\n".join(other.split("\r\n")).strip()
    return one == other


def packed(rows: list[Any]) -> bytes:
    text = json.dumps(rows, ensure_ascii=False, separators=(",", ":"))
    return zlib.compress(text.encode(), QUICK)


def unpacked(content: bytes) -> list[Any]:
    return json.loads(zlib.decompress(content))


def unpacked_all(pieces: Iterable[bytes]) -> Iterable[Any]:
    """The rows of several pieces, one piece in memory at a time."""
    for content in pieces:
        yield from unpacked(content)
