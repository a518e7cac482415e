"""Survey workbooks: what is given out, and that reading it back changes nothing."""

import datetime as dt
import io
import zipfile

import pytest
from django.core.exceptions import PermissionDenied
from openpyxl import load_workbook

from apps.audit.models import Entry
from apps.facilities.models import Facility
from apps.imports.exports import survey_workbook, tables_xlsx
from apps.imports.models import Workbook
from apps.inventory.models import EquipmentItem, SkillHeld
from tests.api.register import make_person
from tests.apps.imports.uploading import filled, given_out, numbers, put, sent

SHEETS = ["Instructions", "Facilities", "Equipment", "Staff", "Skills", "Days of stock",
          "Infrastructure", "Demand", "Service statistics"]  # fmt: skip


def opened(content: bytes):
    return load_workbook(io.BytesIO(content))


def column(sheet, heading: str) -> str:
    return next(cell.column_letter for cell in sheet[1] if cell.value == heading)


def rules(sheet) -> dict[str, list]:
    """The rules of each column, by its heading."""
    heads = {cell.column_letter: cell.value for cell in sheet[1]}
    found: dict[str, list] = {}
    for each in sheet.data_validations.dataValidation:
        letter = str(each.sqref).split(":")[0].rstrip("0123456789")
        found.setdefault(heads[letter], []).append(each)
    return found


def test_a_workbook_has_a_sheet_of_instructions_and_one_for_each_table(register, officer):
    book = opened(given_out(register.north, officer))

    visible = [sheet.title for sheet in book if sheet.sheet_state == "visible"]
    assert visible == SHEETS
    assert {sheet.title: sheet.sheet_state for sheet in book if sheet.title.startswith("_")} == {
        "_version": "veryHidden",
        "_lists": "veryHidden",
    }


def test_what_is_known_is_filled_in_and_nothing_of_another_district(register, officer):
    book = opened(given_out(register.north, officer))

    assert [row[0].value for row in book["Facilities"].iter_rows(min_row=2, max_row=4)] == [
        "ford", "hill", None,
    ]  # fmt: skip
    assert [cell.value for cell in book["Equipment"][2]][:3] == [
        "hill-001", "Hill (hill)", "Cuvette photometer (cuvette-photometer)",
    ]  # fmt: skip
    everything = str([[cell.value for cell in row] for sheet in book for row in sheet])
    assert "coast" not in everything


def test_a_workbook_of_a_site_has_that_site_alone(register, officer):
    book = opened(given_out(register.upper, officer, site=register.hill))

    assert [row[0].value for row in book["Facilities"].iter_rows(min_row=2, max_row=3)] == [
        "hill", None,
    ]  # fmt: skip
    assert Workbook.objects.get().facility == register.hill


def test_of_every_site_it_is_asked_who_holds_each_skill(register, officer):
    sheet = opened(given_out(register.north, officer))["Skills"]

    asked = [(row[0].value, row[1].value, row[2].value) for row in sheet["A2:C4"]]
    assert asked == [
        ("Ford (ford)", "Microscopy (microscopy)", None),
        ("Hill (hill)", "Microscopy (microscopy)", 1),
        (None, None, None),
    ]


def test_codes_are_locked_and_what_is_asked_is_not(register, officer):
    sheet = opened(given_out(register.north, officer))["Equipment"]

    condition = column(sheet, "Condition")
    assert sheet.protection.sheet
    assert sheet["A2"].protection.locked
    assert not sheet[f"{condition}2"].protection.locked
    # In an empty row a code may be typed.
    assert not sheet.column_dimensions["A"].protection.locked


def test_what_may_be_chosen_stands_in_lists_with_names(register, officer):
    book = opened(given_out(register.north, officer))

    found = rules(book["Equipment"])
    [condition], [model] = found["Condition"], found["Device model"]
    assert (condition.type, condition.formula1) == ("list", "list_equipmentitem_condition")
    assert (model.type, model.formula1) == ("list", "list_devicemodel")
    sheet, cells = next(book.defined_names["list_devicemodel"].destinations)
    first = book[sheet][cells.replace("$", "").partition(":")[0]]
    assert first.value == "Cuvette photometer (cuvette-photometer)"


def test_dates_and_numbers_are_checked_as_the_register_checks_them(register, officer):
    book = opened(given_out(register.north, officer))

    [received] = rules(book["Equipment"])["Received on"]
    [people] = rules(book["Facilities"])["People in the catchment"]
    [power] = rules(book["Facilities"])["Hours of power a day"]
    assert (received.type, received.operator) == ("date", None)
    assert (people.type, people.formula1) == ("whole", "0")
    assert (power.type, power.formula1, power.formula2) == ("decimal", "0", "24")


def test_it_prints_on_a4_across_with_the_headings_on_every_page(register, officer):
    sheet = opened(given_out(register.north, officer))["Equipment"]

    assert (sheet.page_setup.paperSize, sheet.page_setup.orientation) == (9, "landscape")
    # One page wide, which is the default, and as many high as it takes.
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.page_setup.fitToHeight == 0
    assert sheet.print_title_rows == "$1:$1"


def test_it_has_no_macros_and_says_which_workbook_it_is(register, officer):
    content = given_out(register.north, officer)

    book, workbook = opened(content), Workbook.objects.get()
    assert not any("vba" in name for name in zipfile.ZipFile(io.BytesIO(content)).namelist())
    assert book["_version"]["A1"].value == workbook.key
    assert book["_version"]["A3"].value == workbook.sha256
    assert book.custom_doc_props["version_mark"].value == workbook.key


@pytest.mark.parametrize("text", ["=1+1", "+cmd|x", "-2", "@sum", '=HYPERLINK("x")', "http://x"])
def test_no_text_becomes_a_formula_or_a_link_and_all_come_back(register, officer, text):
    EquipmentItem.objects.filter(code="hill-001").update(note=text)

    content = given_out(register.north, officer)

    sheet = opened(content)["Equipment"]
    cell = sheet[f"{column(sheet, 'Note')}2"]
    assert (cell.data_type, cell.value, cell.hyperlink) == ("s", text, None)
    assert numbers(sent(content, register.north, officer))["equipment.csv"] == (0, 0, 0, 0, 1)


NASTY = ["caf\u00e9 \U0001f52c", "a\nb", "x & <y> \"z\"", "_x0041_", "'quoted", "1.50", "007",
         "TRUE", "2026-01-31", "a  b", "कखग"]  # fmt: skip


@pytest.mark.parametrize("text", NASTY)
def test_whatever_a_note_says_reading_it_back_is_no_change(register, officer, text):
    EquipmentItem.objects.filter(code="hill-001").update(note=text, serial_number=text)

    upload = sent(given_out(register.north, officer), register.north, officer)

    assert numbers(upload)["equipment.csv"] == (0, 0, 0, 0, 1)


@pytest.mark.parametrize("figure", [0.1 + 0.2, 1 / 3, -89.99999999999999, 1e-7, 12.0])
def test_a_number_comes_back_as_it_was(register, officer, figure):
    Facility.objects.filter(code="hill").update(latitude=figure)

    upload = sent(given_out(register.north, officer), register.north, officer)

    assert numbers(upload)["facilities.csv"] == (0, 0, 0, 0, 2)


def test_reading_a_workbook_back_as_it_is_changes_nothing_and_says_so(register, officer):
    SkillHeld.objects.update(last_trained_on=dt.date(2024, 2, 29))

    upload = sent(given_out(register.north, officer), register.north, officer)

    assert upload.state == "previewed"
    assert {counts[:4] for counts in numbers(upload).values()} == {(0, 0, 0, 0)}
    assert upload.notes == ["The register says all of this already: there is nothing to change."]


def test_a_workbook_saved_by_another_program_reads_the_same(register, officer):
    content = filled(given_out(register.north, officer))

    upload = sent(content, register.north, officer)

    assert {counts[:4] for counts in numbers(upload).values()} == {(0, 0, 0, 0)}


def test_giving_out_a_workbook_is_recorded(register, officer):
    given_out(register.north, officer)

    entry = Entry.objects.get(action="workbook.given-out")
    assert (entry.by, entry.place, entry.after["area"]) == (officer, "north/", "north")


def test_an_auditor_is_given_tables_but_no_workbook(register):
    auditor = make_person("auditor", register.north)

    with pytest.raises(PermissionDenied):
        survey_workbook(area=register.north, by=auditor)
    book = opened(tables_xlsx(auditor, register.north))
    assert [sheet.title for sheet in book] == SHEETS[1:]


def test_many_rows_are_written_as_few_are(register, officer, monkeypatch):
    monkeypatch.setattr("apps.imports.adapters.workbook_writing.MANY_ROWS", 0)

    content = filled(
        given_out(register.north, officer), put("Equipment", "hill-001", "Note", "seen")
    )

    assert numbers(sent(content, register.north, officer))["equipment.csv"] == (0, 1, 0, 0, 0)
