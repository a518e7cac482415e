"""Requirements and specifications in words, each with where its number comes from."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from planner.engine.attributes import range_in_words, value_in_words
from planner.engine.conditions import parse_condition, parse_spec
from planner.engine.matching import condition_in_words


@dataclass(frozen=True)
class Ask:
    """What a method asks of one attribute: ``words`` hold comparator, value and unit."""

    attribute: Any
    words: str
    source: Any
    kind: str
    kind_words: str


@dataclass(frozen=True)
class Stated:
    """What a device model says of one attribute."""

    attribute: Any
    words: str
    source: Any
    kind: str
    kind_words: str


def asks(requirements: Iterable[Any]) -> tuple[Ask, ...]:
    """Each distinct requirement once, in the order in which they come."""
    found: dict[tuple[str, str], Ask] = {}
    for row in requirements:
        words = _asked(row)
        kind = row.source_kind
        ask = Ask(row.attribute, words, row.source, kind, row.get_source_kind_display())
        found.setdefault((row.attribute.code, words), ask)
    return tuple(found.values())


def stated(specifications: Iterable[Any]) -> tuple[Stated, ...]:
    """The specifications of a model in words, by attribute."""
    return tuple(
        Stated(
            row.attribute,
            _said(row.attribute, row.value),
            row.source,
            row.source_kind,
            row.get_source_kind_display(),
        )
        for row in specifications
    )


def _asked(row: Any) -> str:
    condition = parse_condition({row.comparator: row.value})
    if condition.comparator in ("between", "covers") and len(set(row.value)) == 1:
        return value_in_words(row.attribute.code, float(row.value[0]))
    return condition_in_words(row.attribute.code, condition)


def _said(attribute: Any, value: Any) -> str:
    spec = parse_spec(value)
    if attribute.value_kind == "range" and isinstance(spec, tuple) and len(spec) == 2:
        return range_in_words(attribute.code, float(spec[0]), float(spec[1]))
    return value_in_words(attribute.code, spec)
