"""What is refused in a workbook, row by row: where it stands, what it says, what to do."""

import pytest

from apps.facilities.models import Area, Facility
from apps.imports.services import receive_upload
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person
from tests.apps.imports.uploading import (
    add,
    applied,
    faults,
    filled,
    given_out,
    numbers,
    put,
    sent,
)

DEVICE = {
    "Inventory_number": "hill-002",
    "Facility": "Hill (hill)",
    "Device_model": "cuvette-photometer",
    "Condition": "In use",
    "How_it_is_known": "Observed",
}
SITE = {"Code": "brook", "Name": "Brook", "Area": "upper", "Level": "Health post",
        "Latitude": 1, "Longitude": 30, "Power": "None"}  # fmt: skip


@pytest.fixture
def send(register, officer):
    """The upload of a new workbook of district north after ``changes``."""

    def send(*changes):
        content = filled(given_out(register.north, officer), *changes)
        return sent(content, register.north, officer)

    return send


@pytest.mark.parametrize(
    ("heading", "value", "reason", "remedy"),
    [
        ("People in the catchment", "many", "does not fit this column",
         "Expected a whole number, 0 or more, or nothing."),
        ("People in the catchment", -1, "does not fit this column",
         "Expected a whole number, 0 or more, or nothing."),
        ("Latitude", 90.5, "does not fit this column", "Expected a number from -90 to 90."),
        ("Latitude", None, "is empty", "Expected a number from -90 to 90."),
        ("Hours of power a day", 24.5, "does not fit this column",
         "Expected a number from 0 to 24, or nothing."),
        ("Seen on", "01/02/2026", "does not fit this column",
         "Expected a date written as 2026-01-31, or nothing."),
        ("Seen on", "31.02.2026", "does not fit this column",
         "Expected a date written as 2026-01-31, or nothing."),
        ("Name", None, "is empty", "Expected text of at most 120 characters."),
        ("Area", None, "is empty", "Choose one of the areas."),
        ("Area", "delta", "is none of the areas that you can name here",
         "Choose one from the list."),
        ("Area", "uper", "is none of the areas that you can name here",
         "Did you mean upper? Choose one from the list."),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_with_sheet_row_column_value_reason_and_remedy(
    send, heading, value, reason, remedy
):
    upload = send(put("Facilities", "hill", heading, value))

    shown = "" if value is None else str(value)
    assert faults(upload, "facilities.csv") == [(3, heading, shown, reason, remedy)]
    assert numbers(upload)["facilities.csv"] == (0, 0, 0, 1, 1)


@pytest.mark.parametrize("value", [90, -90])
def test_a_value_at_the_edge_of_what_is_possible_is_taken(send, value):
    upload = send(put("Facilities", "hill", "Latitude", value))

    assert numbers(upload)["facilities.csv"] == (0, 1, 0, 0, 1)


def test_all_that_is_wrong_in_a_row_is_told_at_once(send):
    upload = send(
        put("Facilities", "hill", "Latitude", 91), put("Facilities", "hill", "Longitude", 181)
    )

    assert [fault[1] for fault in faults(upload, "facilities.csv")] == ["Latitude", "Longitude"]


def test_the_same_code_twice_is_told_with_the_first_row(send):
    upload = send(add("Equipment", **DEVICE), add("Equipment", **DEVICE))

    assert faults(upload, "equipment.csv") == [
        (4, "Inventory number", "hill-002", "stands in row 3 already", "Keep one of the two rows.")
    ]
    assert numbers(upload)["equipment.csv"] == (1, 0, 0, 1, 1)


def test_a_site_of_another_district_cannot_be_named(send):
    upload = send(add("Equipment", **{**DEVICE, "Facility": "coast"}))

    assert faults(upload, "equipment.csv") == [
        (3, "Facility", "coast", "is none of the facilities that you can name here",
         "Choose one from the list.")
    ]  # fmt: skip


def test_a_device_that_stands_in_another_district_is_not_taken_over_by_its_number(send):
    upload = send(add("Equipment", **{**DEVICE, "Inventory_number": "coast-001"}))

    [(line, heading, value, reason, _)] = faults(upload, "equipment.csv")
    assert (line, heading, value) == (3, "Inventory number", "coast-001")
    assert reason.startswith("belongs to a place outside your areas")


def test_rows_outside_the_area_of_the_upload_are_refused_though_they_are_ones_own(
    register, officer
):
    lower = Area.objects.create(code="lower", name="Lower", kind="block", parent=register.north)
    content = filled(
        given_out(register.north, officer), put("Facilities", "hill", "Name", "Hilltop")
    )

    upload = sent(content, lower, officer)

    assert numbers(upload)["facilities.csv"] == (0, 0, 0, 2, 0)


def test_what_names_a_new_row_is_taken_with_it(send, officer):
    upload = send(
        add("Facilities", **SITE),
        add("Equipment", **{**DEVICE, "Inventory_number": "brook-1", "Facility": "brook"}),
    )

    assert numbers(upload)["facilities.csv"] == (1, 0, 0, 0, 2)
    assert numbers(upload)["equipment.csv"] == (1, 0, 0, 0, 1)
    assert applied(upload, officer).state == "applied"
    assert EquipmentItem.objects.get(code="brook-1").facility.code == "brook"


def test_what_names_a_refused_row_is_refused_with_it(send):
    upload = send(
        add("Facilities", **{**SITE, "Latitude": 91}),
        add("Equipment", **{**DEVICE, "Inventory_number": "brook-1", "Facility": "brook"}),
    )

    assert faults(upload, "equipment.csv") == [
        (3, "Facility", "brook", "names a row of this file that is refused",
         "Correct that row first.")
    ]  # fmt: skip


def test_a_row_of_an_existing_site_that_is_refused_does_not_take_its_devices_along(send):
    upload = send(put("Facilities", "hill", "Latitude", 91), add("Equipment", **DEVICE))

    assert numbers(upload)["equipment.csv"] == (1, 0, 0, 0, 1)


def test_a_formula_is_refused_whatever_its_last_result_was(send):
    upload = send(put("Facilities", "hill", "People in the catchment", "=2*6000"))

    assert faults(upload, "facilities.csv") == [
        (3, "People in the catchment", "", "is a formula, whose result may be out of date",
         "Type the value itself, or paste it as a value.")
    ]  # fmt: skip


def test_merged_cells_are_refused(send):
    upload = send(lambda book: book["Facilities"].merge_cells("B2:B3"))

    merged = [row for row in faults(upload, "facilities.csv") if "merged" in row[3]]
    assert [(line, remedy) for line, *_, remedy in merged] == [
        (2, "Part the cells, and fill in each."),
        (3, "Part the cells, and fill in each."),
    ]


def test_a_prepared_line_that_nobody_filled_in_is_no_row(send):
    upload = send()

    assert numbers(upload)["skills_held.csv"] == (0, 0, 0, 0, 1)
    assert upload.counts["skills_held.csv"]["blank"] == 1


def test_a_prepared_line_with_an_answer_is_a_new_row(send):
    upload = send(
        put("Skills", "ford", "People who hold it", 0),
        put("Skills", "ford", "How it is known", "Reported"),
    )

    assert numbers(upload)["skills_held.csv"] == (1, 0, 0, 0, 1)


def test_a_hidden_sheet_is_not_read_and_that_is_said(send):
    upload = send(
        put("Equipment", "hill-001", "Note", "seen"),
        lambda book: setattr(book["Equipment"], "sheet_state", "hidden"),
    )

    assert "equipment.csv" not in upload.counts
    assert "The sheet Equipment is hidden and was not read." in upload.notes


def test_sheets_and_columns_that_are_not_ours_are_named(send):
    def change(book):
        book.create_sheet("My notes")["A1"] = "x"
        book["Equipment"].cell(1, book["Equipment"].max_column + 1).value = "Colour"

    upload = send(change)

    assert upload.notes[:2] == [
        "Equipment: the column Colour is not known, nor read.",
        "The sheet My notes is not one of ours and was not read.",
    ]


def test_rows_that_were_taken_out_of_the_file_are_told_and_stay_in_the_register(send):
    upload = send(lambda book: book["Facilities"].delete_rows(2))

    assert upload.notes[0] == (
        "Facilities: the file is without a row that the workbook was given out with."
        " Nothing is removed by an upload."
    )
    assert Facility.objects.filter(code="ford").exists()


def test_a_missing_column_stops_the_whole_file(send):
    upload = send(lambda book: book["Facilities"].delete_cols(5))

    assert upload.state == "refused"
    assert upload.message == (
        "Sheet Facilities, row 1: The column Latitude is missing. Put the headings back as they"
        " were, or get a new workbook."
    )


@pytest.mark.parametrize("role", ["auditor"])
def test_who_may_not_change_the_register_sends_nothing(register, role):
    person = make_person(role, register.north)

    with pytest.raises(Exception, match="may not change the register"):
        receive_upload(file_name="a.xlsx", content=b"x", area=register.north, by=person)


def test_nobody_uploads_for_another_area(register, officer):
    with pytest.raises(Exception, match="not one of your areas"):
        receive_upload(file_name="a.xlsx", content=b"x", area=register.south, by=officer)
