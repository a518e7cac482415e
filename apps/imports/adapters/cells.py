"""One cell of a file as the value of a model field; the field itself says what may stand there."""

import datetime as dt
import json
import math
import re
from decimal import Decimal, InvalidOperation
from functools import singledispatch
from inspect import isfunction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

CODE = re.compile(r"[a-z0-9][a-z0-9_-]*")
FLAGS = {"true": True, "false": False}


class CellError(ValueError):
    """A cell that cannot be used; the text says what was expected instead."""


def value_of(field: models.Field, text: str) -> Any:
    """``text`` as a value of ``field``. Raises ``CellError`` saying what was expected.

    An empty cell is ``None`` where the field may be unknown, empty text where text may be
    empty, and otherwise a mistake: nothing is filled in.
    """
    if not text:
        if field.null:
            return None
        if field.blank and isinstance(field, models.CharField | models.TextField):
            return ""
        raise CellError(expected(field))
    try:
        value = _parsed(field, text)
        field.run_validators(value)
    except (ValueError, InvalidOperation, ValidationError) as error:
        raise CellError(expected(field)) from error
    if field.choices and value not in dict(field.flatchoices):
        raise CellError(expected(field))
    return value


def expected(field: models.Field) -> str:
    """What a cell of ``field`` must hold, in words."""
    if field.choices:
        return f"one of {', '.join(str(value) for value, _ in field.flatchoices if value != '')}"
    # A rule of its own is told by what the field says of itself.
    words = (
        str(field.help_text) if any(map(isfunction, field.validators)) else _kind_in_words(field)
    )
    limits = {validator.code: validator.limit_value for validator in _limits(field)}
    low, high = limits.get("min_value"), limits.get("max_value")
    if low is not None and high is not None and high <= 10**6:
        words += f" from {low} to {high}"
    elif low is not None:
        words += f", {low} or more"
    return f"{words}, or nothing" if field.null else words


def _limits(field: models.Field) -> list[Any]:
    return [validator for validator in field.validators if hasattr(validator, "limit_value")]


@singledispatch
def _parsed(field: models.Field, text: str) -> Any:
    return text


@_parsed.register
def _(field: models.SlugField, text: str) -> str:
    if not CODE.fullmatch(text):
        raise ValueError(text)
    return text


@_parsed.register
def _(field: models.IntegerField, text: str) -> int:
    if not re.fullmatch(r"[+-]?[0-9]{1,18}", text):
        raise ValueError(text)
    return int(text)


@_parsed.register
def _(field: models.FloatField, text: str) -> float:
    value = float(text)
    if "_" in text or not math.isfinite(value):
        raise ValueError(text)
    return value


@_parsed.register
def _(field: models.DecimalField, text: str) -> Decimal:
    if "_" in text:
        raise ValueError(text)
    return Decimal(text)


@_parsed.register
def _(field: models.DateField, text: str) -> dt.date:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise ValueError(text)
    return dt.date.fromisoformat(text)


@_parsed.register
def _(field: models.BooleanField, text: str) -> bool:
    if text not in FLAGS:
        raise ValueError(text)
    return FLAGS[text]


@_parsed.register
def _(field: models.JSONField, text: str) -> Any:
    return json.loads(text, parse_constant=_no_constant)


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is not JSON")


@singledispatch
def _kind_in_words(field: models.Field) -> str:
    return f"text of at most {field.max_length} characters" if field.max_length else "text"


@_kind_in_words.register
def _(field: models.SlugField) -> str:
    return "a code of lower-case letters, digits, hyphens and underscores"


@_kind_in_words.register
def _(field: models.IntegerField) -> str:
    return "a whole number"


@_kind_in_words.register
def _(field: models.FloatField) -> str:
    return "a number"


@_kind_in_words.register
def _(field: models.DecimalField) -> str:
    return f"an amount with at most {field.decimal_places} decimals"


@_kind_in_words.register
def _(field: models.DateField) -> str:
    return "a date written as 2026-01-31"


@_kind_in_words.register
def _(field: models.BooleanField) -> str:
    return "true or false"


@_kind_in_words.register
def _(field: models.JSONField) -> str:
    return 'a JSON value, such as 2000, "text", true or [10, 20]'
