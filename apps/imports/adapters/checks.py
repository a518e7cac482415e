"""What is wrong with attributes, specifications and methods, beyond what their fields say."""

from collections.abc import Iterator, Mapping
from typing import Any

from apps.catalogue import models
from apps.catalogue.choices import Comparator, Radius, ValueKind
from apps.imports.adapters.known import Known
from planner.engine.conditions import parse_condition, parse_spec

# Which kinds of value a comparator can be held against.
COMPARABLE: dict[Comparator, frozenset[ValueKind]] = {
    Comparator.MIN: frozenset({ValueKind.NUMBER}),
    Comparator.MAX: frozenset({ValueKind.NUMBER}),
    Comparator.BETWEEN: frozenset({ValueKind.NUMBER}),
    Comparator.COVERS: frozenset({ValueKind.RANGE}),
    Comparator.IS: frozenset({ValueKind.NUMBER, ValueKind.TEXT, ValueKind.FLAG}),
    Comparator.HAS: frozenset({ValueKind.LIST, ValueKind.TEXT}),
}
IN_WORDS = {
    ValueKind.NUMBER: "a number",
    ValueKind.RANGE: "two numbers [low, high], the lower first",
    ValueKind.TEXT: 'text in double quotes, such as "LED"',
    ValueKind.FLAG: "true or false",
    ValueKind.LIST: "a list, such as [540, 880]",
}


def check_attribute(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    radius, fits = row["radius"], COMPARABLE.get(row["comparator"])
    if row["ucum"] == models.FORCE and not radius:
        yield f"radius is empty, expected one of {', '.join(Radius)}: a force is one at a radius."
    if row["ucum"] != models.FORCE and radius:
        yield f"radius is {radius}, but only a force, in {models.FORCE}, is stated at a radius."
    if fits and row["value_kind"] not in fits:
        yield f"comparator is {row['comparator']}, which does not fit the kind {row['value_kind']}."
    stated = known.of(models.Attribute).get(
        (known.name(models.DeviceClass, row["device_class"]), row["code"])
    )
    if stated and (before := known.fact(models.Attribute, stated, "radius")) not in ("", radius):
        # What is stated and asked under this name would silently mean another force.
        yield f"the attribute is already there, at {before}. Add one with a code of its own."


def check_specification(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    kind = known.fact(models.Attribute, row["attribute"], "value_kind")
    if not _fits(kind, row["value"]):
        yield f"value is {row['value']!r}, expected {IN_WORDS[ValueKind(kind)]}."


def check_method(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    stated = [
        row["specificity"] is not None,
        row["specificity_source"] is not None,
        bool(row["specificity_kind"]),
    ]
    if any(stated) and not all(stated):
        yield "give specificity, specificity_source and specificity_kind, or leave all three empty."


def check_requirement(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    kind = known.fact(models.Attribute, row["attribute"], "value_kind")
    comparator = Comparator(row["comparator"])
    meant = known.fact(models.Attribute, row["attribute"], "comparator")
    if meant and comparator != meant:
        yield f"comparator is {comparator!s}, but methods ask for this attribute by {meant}."
    if kind not in COMPARABLE[comparator]:
        allowed = [str(each) for each in Comparator if kind in COMPARABLE[each]]
        yield (
            f"comparator is {comparator!s}, but the attribute is of the kind {kind}."
            f" It can be compared by {', '.join(allowed)}."
        )
    try:
        parse_condition({str(comparator): row["value"]})
    except ValueError as error:
        yield f"value is {row['value']!r}, expected {error}."


def _fits(kind: str, value: Any) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    match kind:
        case ValueKind.NUMBER:
            return number
        case ValueKind.TEXT:
            return isinstance(value, str)
        case ValueKind.FLAG:
            return isinstance(value, bool)
    try:
        parts = parse_spec(value) if isinstance(value, list) else ()
    except ValueError:
        return False
    if kind == ValueKind.LIST:
        return bool(parts)
    numbers = [part for part in parts if isinstance(part, float)]
    return len(parts) == len(numbers) == 2 and numbers == sorted(numbers)
