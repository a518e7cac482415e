"""What a cell may hold is what the field of the model may hold, said in words if it does not."""

import datetime as dt
from decimal import Decimal

import pytest

from apps.catalogue.models import DeviceModel, LabTest, Method, Specification
from apps.facilities.models import Facility
from apps.imports.adapters.cells import CellError, value_of
from apps.inventory.models import EquipmentItem, SkillHeld

CODE = "a code of lower-case letters, digits, hyphens and underscores"


def read(model, field: str, text: str):
    return value_of(model._meta.get_field(field), text)


@pytest.mark.parametrize(
    ("model", "field", "text", "value"),
    [
        (Facility, "code", "hill-2", "hill-2"),
        (Facility, "level", "4", 4),
        (Facility, "latitude", "-90", -90.0),
        (Facility, "latitude", "1e1", 10.0),
        (Facility, "population", "0", 0),
        (Facility, "population", "", None),
        (Facility, "observed_on", "2026-02-28", dt.date(2026, 2, 28)),
        (Facility, "observed_on", "", None),
        (Facility, "power_source", "unknown", "unknown"),
        (EquipmentItem, "reason", "", ""),
        (EquipmentItem, "note", "", ""),
        (SkillHeld, "staff_count", "0", 0),
        (DeviceModel, "is_low_cost", "true", True),
        (DeviceModel, "price", "0.1234", Decimal("0.1234")),
        (Method, "sensitivity", "1", 1.0),
        (Specification, "value", "[540, 880]", [540, 880]),
        (Specification, "value", '"LED"', "LED"),
        (LabTest, "max_transport_hours", "", None),
    ],
)
def test_a_cell_is_read_as_its_field_says(db, model, field, text, value):
    read_value = read(model, field, text)

    assert (read_value, type(read_value)) == (value, type(value))


@pytest.mark.parametrize(
    ("model", "field", "text", "expected"),
    [
        (Facility, "code", "Hill", CODE),
        (Facility, "code", "-hill", CODE),
        (Facility, "name", "", "text of at most 120 characters"),
        (Facility, "name", "x" * 121, "text of at most 120 characters"),
        (Facility, "level", "5", "one of 1, 2, 3, 4"),
        (Facility, "level", "2.0", "one of 1, 2, 3, 4"),
        (Facility, "latitude", "90.01", "a number from -90 to 90"),
        (Facility, "latitude", "nan", "a number from -90 to 90"),
        (Facility, "latitude", "inf", "a number from -90 to 90"),
        (Facility, "latitude", "1_0", "a number from -90 to 90"),
        (Facility, "latitude", "1,5", "a number from -90 to 90"),
        (Facility, "latitude", "", "a number from -90 to 90"),
        (Facility, "population", "-1", "a whole number, 0 or more, or nothing"),
        (Facility, "population", "1.5", "a whole number, 0 or more, or nothing"),
        (Facility, "power_hours_per_day", "24.1", "a number from 0 to 24, or nothing"),
        (Facility, "observed_on", "28/02/2026", "a date written as 2026-01-31, or nothing"),
        (Facility, "observed_on", "2026-02-29", "a date written as 2026-01-31, or nothing"),
        (Facility, "power_source", "", "one of unknown, none, battery, interruptible, stable"),
        (EquipmentItem, "condition", "broken", "one of in_use, idle, repairable, beyond_repair,"
         " incomplete, awaiting, unknown"),
        (DeviceModel, "is_low_cost", "yes", "true or false"),
        (DeviceModel, "price", "0.12345", "an amount with at most 4 decimals, 0 or more"),
        (DeviceModel, "price", "-0.01", "an amount with at most 4 decimals, 0 or more"),
        (DeviceModel, "price", "free", "an amount with at most 4 decimals, 0 or more"),
        (Method, "sensitivity", "1.01", "a number from 0 to 1"),
        (Specification, "value", "LED", 'a JSON value, such as 2000, "text", true or [10, 20]'),
        (Specification, "value", "NaN", 'a JSON value, such as 2000, "text", true or [10, 20]'),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_refused_with_what_was_expected(db, model, field, text, expected):
    with pytest.raises(CellError) as refusal:
        read(model, field, text)

    assert str(refusal.value) == expected
