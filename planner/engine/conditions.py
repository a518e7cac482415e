"""What a method may ask of a device specification: six comparators over plain values."""

import math
from dataclasses import dataclass
from typing import Any, Literal, get_args

Scalar = float | str | bool
SpecValue = Scalar | tuple[Scalar, ...]
Comparator = Literal["min", "max", "between", "covers", "is", "has"]
COMPARATORS: tuple[Comparator, ...] = get_args(Comparator)

_NUMBER = {"type": "number"}
_PAIR = {"type": "array", "items": _NUMBER, "minItems": 2, "maxItems": 2}
_SCALAR = {"type": ["number", "string", "boolean"]}
_LIST = {"type": "array", "items": _SCALAR, "minItems": 1}
_OPERANDS: dict[Comparator, dict[str, Any]] = {
    "min": _NUMBER, "max": _NUMBER, "between": _PAIR, "covers": _PAIR, "is": _SCALAR, "has": _LIST,
}  # fmt: skip

SPEC_SCHEMA: dict[str, Any] = {"anyOf": [_SCALAR, {"type": "array", "items": _SCALAR}]}
CONDITION_SCHEMA: dict[str, Any] = {
    "oneOf": [
        {
            "type": "object",
            "properties": {comparator: operand},
            "required": [comparator],
            "additionalProperties": False,
        }
        for comparator, operand in _OPERANDS.items()
    ]
}


@dataclass(frozen=True, slots=True)
class Condition:
    """One requirement on one attribute, such as "at least 1000" or "within 10 000-15 000"."""

    comparator: Comparator
    value: SpecValue

    def as_json(self) -> dict[str, Any]:
        return {self.comparator: spec_as_json(self.value)}


def parse_condition(raw: Any) -> Condition:
    """``{"min": 1000}`` as a ``Condition``; raises ``ValueError`` saying what is expected."""
    if isinstance(raw, Condition):
        return raw
    keys = list(raw) if isinstance(raw, dict) else []
    if len(keys) != 1 or keys[0] not in COMPARATORS:
        raise ValueError(f"an object with exactly one of the keys {', '.join(COMPARATORS)}")
    [(comparator, value)] = raw.items()
    operand = _OPERANDS[comparator]
    if operand is _NUMBER:
        return Condition(comparator, _number(value, f"a number after {comparator}"))
    if operand is _PAIR:
        return Condition(comparator, _pair(value, f"two numbers [low, high] after {comparator}"))
    if operand is _SCALAR:
        return Condition(comparator, _scalar(value, "a number, text, true or false after is"))
    return Condition(comparator, _list(value, "a list of at least one value after has"))


def parse_spec(raw: Any) -> SpecValue:
    """A specification: a number, text, true or false, or a list of those.

    An empty list is a statement ("it has none of them"), not a missing value.
    """
    expected = "a number, text, true or false, or a list of those"
    if isinstance(raw, list | tuple):
        return tuple(_scalar(item, expected) for item in raw)
    return _scalar(raw, expected)


def spec_as_json(value: SpecValue) -> Any:
    """The plain JSON value of a specification."""
    return list(value) if isinstance(value, tuple) else value


def _number(value: Any, expected: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(expected)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(expected)
    return number


def _scalar(value: Any, expected: str) -> Scalar:
    return value if isinstance(value, str | bool) else _number(value, expected)


def _list(value: Any, expected: str) -> tuple[Scalar, ...]:
    if not isinstance(value, list | tuple) or not value:
        raise ValueError(expected)
    return tuple(_scalar(item, expected) for item in value)


def _pair(value: Any, expected: str) -> tuple[float, ...]:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError(expected)
    low, high = (_number(end, expected) for end in value)
    if low > high:
        raise ValueError(f"{expected}, the lower one first")
    return (low, high)
