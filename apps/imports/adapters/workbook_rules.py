"""What a spreadsheet program lets people type into a column, and what it tells them."""

import datetime as dt
from typing import Any

from django.db.models import CharField, DateField, DecimalField, Field, FloatField, IntegerField

from apps.imports.adapters.cells import expected

EARLIEST, LATEST = dt.date(1950, 1, 1), dt.date(2100, 12, 31)
LARGEST = 10**12
LONGEST_TITLE, LONGEST_MESSAGE = 32, 255


def rule(field: Field, list_name: str, heading: str) -> dict[str, Any]:
    """Options for ``worksheet.data_validation``; nothing where anything may be typed."""
    said = expected(field)
    message = f"Expected {said}. Leave the cell empty where it is not known."
    told = {
        "input_title": heading[:LONGEST_TITLE],
        "input_message": str(field.help_text)[:LONGEST_MESSAGE],
        "error_title": heading[:LONGEST_TITLE],
        "error_message": message[:LONGEST_MESSAGE],
    }
    if not told["input_message"]:
        del told["input_title"], told["input_message"]
    if list_name:
        chosen = "Choose one of the list: press the arrow beside the cell."
        return {**told, "validate": "list", "source": f"={list_name}", "error_message": chosen}
    if isinstance(field, DateField):
        between = {"minimum": EARLIEST, "maximum": LATEST}
        written = "Write a date from 1950 to 2100, such as 2026-01-31."
        return {
            **told,
            "validate": "date",
            "criteria": "between",
            **between,
            "error_message": written,
        }
    if isinstance(field, IntegerField | FloatField | DecimalField):
        kind = "integer" if isinstance(field, IntegerField) else "decimal"
        return {**told, "validate": kind, "criteria": "between", **_limits(field)}
    if isinstance(field, CharField) and field.max_length:
        return {**told, "validate": "length", "criteria": "<=", "value": field.max_length}
    return {}


def _limits(field: Field) -> dict[str, Any]:
    limits = {each.code: each.limit_value for each in field.validators if hasattr(each, "code")
              and hasattr(each, "limit_value")}  # fmt: skip
    low = limits.get("min_value")
    high = limits.get("max_value")
    return {
        "minimum": -LARGEST if low is None else low,
        "maximum": LARGEST if high is None else min(high, LARGEST),
    }
