"""JSON as RFC 8259 has it, read so that nothing in it can be taken for something else."""

import json
import math
from typing import Any


def strict_json(text: str) -> Any:
    """What ``text`` holds.

    Raises ``ValueError`` for what is no JSON, ``NaN``, infinite numbers (``1e999``) and a key
    that stands twice in one object; ``RecursionError`` for endless nesting.
    """
    return json.loads(
        text, parse_constant=_no_constant, parse_float=_finite, object_pairs_hook=_unique
    )


def _no_constant(text: str) -> None:
    raise ValueError(f"{text} is not a number in JSON")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{text} is too large a number")
    return number


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"the key {twice!r} stands twice in one object")
    return values
