"""The files of a catalogue folder, in the order in which they build on each other."""

from collections.abc import Iterator, Mapping
from typing import Any

from apps.catalogue import models
from apps.catalogue.choices import Comparator, Radius, ValueKind
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import Reference, Sheet
from planner.engine.conditions import parse_condition, parse_spec

SOURCED = ("source", "source_kind", "dated_on")
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


def _attribute_of_need(
    texts: tuple[str, ...], row: Mapping[str, Any], known: Known
) -> tuple[str, ...]:
    """An attribute is called by its code alone, since the need says of which class it is."""
    return (known.fact(models.Need, row["need"], "device_class__code"), *texts)


SHEETS = (
    Sheet("sources.csv", models.Source, ("code", "title", "kind", "year", "note")),
    Sheet("programmes.csv", models.Programme, ("code", "name")),
    Sheet(
        "skills.csv",
        models.Skill,
        ("code", "name", "training_cost", "trainer_days", "supervision_cost", *SOURCED),
    ),
    Sheet("infrastructure.csv", models.Infrastructure, ("code", "name", *SOURCED)),
    Sheet(
        "infrastructure_costs.csv",
        models.InfrastructureCost,
        ("infrastructure", "level", "cost"),
        key=("infrastructure", "level"),
        owner="infrastructure",
    ),
    Sheet("device_classes.csv", models.DeviceClass, ("code", "name")),
    Sheet(
        "attributes.csv",
        models.Attribute,
        ("device_class", "code", "name", "value_kind", "ucum", "comparator", "radius",
         "observation"),
        key=("device_class", "code"),
        check=check_attribute,
    ),
    Sheet(
        "device_models.csv",
        models.DeviceModel,
        ("code", "name", "evidence", "approval", "is_low_cost", "price", "annual_cost",
         "repair_cost", "hours_per_year", "programmes", "cautions", *SOURCED),
    ),
    Sheet(
        "served_classes.csv",
        models.ServedClass,
        ("device_model", "device_class"),
        key=("device_model", "device_class"),
        owner="device_model",
    ),
    Sheet(
        "specifications.csv",
        models.Specification,
        ("device_model", "device_class", "attribute", "value", *SOURCED),
        key=("device_model", "attribute"),
        references={"attribute": Reference(("device_class", "attribute"))},
        check=check_specification,
        owner="device_model",
    ),
    Sheet(
        "tests.csv",
        models.LabTest,
        ("code", "name", "programme", "weight", "max_transport_hours", "specimen",
         "lowest_level", *SOURCED),
    ),
    Sheet(
        "methods.csv",
        models.Method,
        ("code", "name", "test", "clinical_grade", "sensitivity", "sensitivity_source",
         "sensitivity_kind", "specificity", "specificity_source", "specificity_kind", "cadre",
         "batch_size", "minutes_per_batch", "minutes_per_sample", "consumable_cost",
         "biosafety", "cautions", "skills", "infrastructure", *SOURCED),
        check=check_method,
    ),
    Sheet(
        "needs.csv",
        models.Need,
        ("method", "position", "device_class", "minutes_per_run", "samples_per_run", *SOURCED),
        key=("method", "position"),
        owner="method",
    ),
    Sheet(
        "requirements.csv",
        models.Requirement,
        ("method", "position", "attribute", "comparator", "value", *SOURCED),
        key=("need", "attribute"),
        references={
            "need": Reference(("method", "position")),
            "attribute": Reference(("attribute",), ("need",), _attribute_of_need),
        },
        check=check_requirement,
        owner="need",
    ),
)  # fmt: skip
