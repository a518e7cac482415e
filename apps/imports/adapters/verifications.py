"""Verifications of a register folder: readings as they were written down, a row for each."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from apps.imports.adapters.cells import CellError, value_of
from apps.imports.adapters.files import Problem, Record, records
from apps.inventory.adapters import LimitSet, Readings, ReadingsError, parse_readings, sets_for
from apps.inventory.choices import SpinSetting
from apps.inventory.models import EquipmentItem, Verification

FILE = "verifications.csv"
FIELDS = (
    "code", "kind", "rule", "subject", "analyte", "done_on", "operator", "reference",
    "traceability", "note",
)  # fmt: skip
COLUMNS = (
    "code", "item", *FIELDS[1:-1], "radius_cm", "set_rpm", "setting", "readings", "note",
)  # fmt: skip


@dataclass(frozen=True)
class Row:
    """One verification as the file has it; ``facts`` are what ``record_verification`` takes."""

    line: int
    item: EquipmentItem
    limits: LimitSet
    readings: Readings
    facts: dict[str, Any]


def read_verifications(path: Path) -> Iterator[Row | Problem]:
    """Every row of the file at ``path`` that is new; or what is wrong with it.

    A row whose code is there already must say what is there: nothing measured is changed.
    """
    found, problems = records(path, COLUMNS)
    yield from problems
    items = EquipmentItem.objects.select_related("device_model").in_bulk(
        {record.cells["item"] for record in found}, field_name="code"
    )
    known = Verification.objects.select_related("item").in_bulk(
        {record.cells["code"] for record in found}, field_name="code"
    )
    for record in found:
        try:
            row = _row(record, items)
        except (CellError, ReadingsError) as wrong:
            texts = getattr(wrong, "problems", None) or [str(wrong)]
            yield from (Problem(FILE, record.line, text) for text in texts)
            continue
        there = known.get(record.cells["code"])
        if there is None:
            yield row
        elif not _is_same(row, there):
            said = "this verification is there already and says otherwise. Withdraw it on its page"
            yield Problem(FILE, record.line, f"{said}, and load this one under another code.")


def _row(record: Record, items: dict[str, EquipmentItem]) -> Row:
    cells = record.cells
    item = items.get(cells["item"])
    if item is None:
        raise CellError(f'item is "{cells["item"]}", which is none of the equipment items.')
    facts = {name: _value(name, cells[name]) for name in FIELDS}
    limits = _limits(item, facts["rule"], facts["subject"])
    spin = {
        "radius_cm": _number("radius_cm", cells["radius_cm"]),
        "set_rpm": _number("set_rpm", cells["set_rpm"]),
        "setting": _setting(cells["setting"]),
    }
    readings = parse_readings(facts["kind"], cells["readings"])
    del facts["rule"], facts["subject"]
    return Row(record.line, item, limits, readings, {**facts, **spin})


def _limits(item: EquipmentItem, rule: str, subject: str) -> LimitSet:
    for limits in sets_for(item.device_model):
        if (limits.rule, limits.subject) == (rule, subject):
            return limits
    raise CellError(
        f'rule is "{rule}" for "{subject}", by which no {item.device_model.code} is verified.'
    )


def _value(name: str, text: str) -> Any:
    try:
        return value_of(Verification._meta.get_field(name), text)
    except CellError as error:
        found = f'is "{text}"' if text else "is empty"
        raise CellError(f"{name} {found}, expected {error}.") from error


def _number(name: str, text: str) -> float | None:
    try:
        return float(text) if text else None
    except ValueError as error:
        raise CellError(f'{name} is "{text}", expected a number, or nothing.') from error


def _setting(text: str) -> str:
    if text and text not in SpinSetting.values:
        named = ", ".join(SpinSetting.values)
        raise CellError(f'setting is "{text}", expected one of {named}, or nothing.')
    return text or SpinSetting.GREATEST.value


def _is_same(row: Row, there: Verification) -> bool:
    """Whether the stored verification is the one of the row: same device, day and readings."""
    return (
        there.item_id == row.item.pk
        and there.kind == row.facts["kind"]
        and there.rule == row.limits.rule
        and there.subject == row.limits.subject
        and there.done_on == row.facts["done_on"]
        and Readings.from_json(there.readings) == row.readings
    )
