"""What people type into cells: dates in three styles, numbers with commas, labels, names."""

import datetime as dt

import pytest

from apps.facilities.models import Facility
from apps.imports.adapters.cell_texts import ColumnTexts, text_of
from apps.inventory.models import EquipmentItem


def column(name: str, model: type = Facility) -> ColumnTexts:
    return ColumnTexts(model._meta.get_field(name))


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (3.0, "3"),
        (0.1, "0.1"),
        (-0.5, "-0.5"),
        (1e15, "1000000000000000.0"),
        (7, "7"),
        (True, "true"),
        (False, "false"),
        (dt.date(2026, 1, 31), "2026-01-31"),
        (dt.datetime(2026, 1, 31), "2026-01-31"),  # noqa: DTZ001 a spreadsheet has no zones
        (dt.datetime(2026, 1, 31, 8, 30), "2026-01-31 08:30:00"),  # noqa: DTZ001
        ("  x ", "x"),
    ],
)
def test_a_cell_is_text_as_the_register_reads_it(value, text):
    assert text_of(value) == text


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("2026-01-31", "2026-01-31"),
        ("31.1.2026", "2026-01-31"),
        ("31 Jan 2026", "2026-01-31"),
        ("31-January-2026", "2026-01-31"),
        ("31/01/2026", "2026-01-31"),
        ("05/05/2026", "2026-05-05"),
        # Two days could be meant: left as it is, and refused later.
        ("01/02/2026", "01/02/2026"),
        ("12/11/2026", "12/11/2026"),
        ("13/11/2026", "2026-11-13"),
        ("31.2.2026", "31.2.2026"),
        ("soon", "soon"),
        ("", ""),
    ],
)
def test_dates_in_other_styles_are_read_unless_they_could_be_two_days(typed, read):
    assert column("observed_on")(typed) == read


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("12000", "12000"),
        ("12,000", "12000"),
        ("1,20,000", "120000"),
        ("12,34,567", "1234567"),
        ("12 000", "12000"),
        ("12\xa0000", "12000"),
        ("1,2", "1,2"),
        ("12,00", "12,00"),
    ],
)
def test_groups_of_digits_in_whole_numbers_are_read(typed, read):
    assert column("population")(typed) == read


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("3,5", "3.5"),
        ("-1,25", "-1.25"),
        ("3.5", "3.5"),
        # A thousand, or one and a bit: left as it is, and refused later.
        ("1,234", "1,234"),
        ("1,234.5", "1234.5"),
        ("1,23,456", "123456"),
    ],
)
def test_decimal_commas_are_read_unless_they_could_be_thousands(typed, read):
    assert column("latitude")(typed) == read


@pytest.mark.parametrize(
    ("name", "model", "typed", "read"),
    [
        ("condition", EquipmentItem, "In use", "in_use"),
        ("condition", EquipmentItem, "IN USE", "in_use"),
        ("condition", EquipmentItem, "in_use", "in_use"),
        ("condition", EquipmentItem, "Working", "Working"),
        ("level", Facility, "Health post", "1"),
        ("device_model", EquipmentItem, "Cuvette photometer (cuvette-photometer)",
         "cuvette-photometer"),
        ("device_model", EquipmentItem, "Photometer (old) (model-2)", "model-2"),
        ("device_model", EquipmentItem, "cuvette-photometer", "cuvette-photometer"),
        ("name", Facility, "Hill (north)", "Hill (north)"),
    ],
)  # fmt: skip
def test_labels_and_names_with_codes_are_read_as_values_and_codes(name, model, typed, read):
    assert column(name, model)(typed) == read
