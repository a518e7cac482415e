"""A filled workbook against the register as it is now and as it was given out."""

import pytest

from apps.facilities.models import Facility
from apps.imports.adapters.comparing import compare, compare_with_newcomer
from apps.imports.selectors import proposals_of
from apps.imports.services import choose_from_upload
from apps.inventory.models import EquipmentItem
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


@pytest.mark.parametrize(
    ("given_out", "now", "mine", "changes", "both"),
    [
        # All ways in which three values can be the same or differ.
        (1, 1, 1, {}, {}),
        (1, 1, 2, {"x": [1, 2]}, {}),
        (1, 2, 1, {}, {}),
        (1, 2, 2, {}, {}),
        (1, 2, 3, {}, {"x": [1, 2, 3]}),
        (None, None, 2, {"x": [None, 2]}, {}),
        (1, 1, None, {"x": [1, None]}, {}),
        (1, None, 2, {}, {"x": [1, None, 2]}),
        (1, 2, None, {}, {"x": [1, 2, None]}),
        (1, None, None, {}, {}),
        ("a", "a ", "a", {}, {}),
        (0.1 + 0.2, 0.1 + 0.2, 0.3, {}, {}),
        (0, 0, None, {"x": [0, None]}, {}),
    ],
)
def test_what_a_person_changed_is_told_from_what_others_changed(
    given_out, now, mine, changes, both
):
    found = compare({"x": mine}, {"x": now}, {"x": given_out})

    assert (found.changes, found.both) == (changes, both)


def test_without_a_version_every_difference_is_a_change():
    found = compare({"x": 1, "y": 2}, {"x": 1, "y": 3}, None)

    assert (found.changes, found.both) == ({"y": [3, 2]}, {})


def test_a_column_that_was_not_given_out_is_compared_with_the_register():
    assert compare({"x": 1}, {"x": 2}, {"y": 5}).changes == {"x": [2, 1]}


def test_a_row_that_two_added_is_for_somebody_to_decide_where_they_differ():
    found = compare_with_newcomer({"x": 1, "y": 2}, {"x": 1, "y": 3})

    assert (found.changes, found.both) == ({}, {"y": [None, 3, 2]})


@pytest.fixture
def workbook(register, officer) -> bytes:
    return given_out(register.north, officer)


def test_workbooks_of_two_people_merge_field_by_field(register, officer, workbook):
    first = filled(workbook, put("Facilities", "hill", "People in the catchment", 13_000))
    second = filled(workbook, put("Facilities", "hill", "Name", "Hilltop"))

    applied(sent(first, register.north, officer), officer)
    upload = applied(sent(second, register.north, officer), officer)

    hill = Facility.objects.get(code="hill")
    assert (upload.outcome["facilities.csv"], hill.population, hill.name) == (
        {"created": 0, "changed": 1}, 13_000, "Hilltop",
    )  # fmt: skip


@pytest.fixture
def conflicting(register, officer, workbook):
    """Two people changed the population; the second also the name."""
    first = filled(workbook, put("Facilities", "hill", "People in the catchment", 13_000))
    applied(sent(first, register.north, officer), officer)
    return sent(
        filled(
            workbook,
            put("Facilities", "hill", "People in the catchment", 14_000),
            put("Facilities", "hill", "Name", "Hilltop"),
        ),
        register.north,
        officer,
    )


def test_a_conflict_is_told_with_all_three_values(conflicting):
    assert numbers(conflicting)["facilities.csv"] == (0, 0, 1, 0, 1)
    assert proposals_of(conflicting, "facilities.csv", "conflict", 0, 10) == [
        {
            "line": 3,
            "key": ["hill"],
            "fields": {"name": ["Hill", "Hilltop"]},
            "both": {"population": [12_000, 13_000, 14_000]},
        }
    ]


def test_the_last_one_does_not_win_a_conflict_by_being_last(conflicting, officer):
    applied(conflicting, officer)

    hill = Facility.objects.get(code="hill")
    assert (hill.population, hill.name) == (13_000, "Hilltop")


def test_the_value_of_the_file_wins_where_somebody_chooses_it(conflicting, officer):
    choose_from_upload(
        upload=conflicting, by=officer, sheet="facilities.csv", shown=[3], wanted=[3], taken=[3]
    )

    applied(conflicting, officer)

    assert Facility.objects.get(code="hill").population == 14_000


def test_a_row_with_a_conflict_can_be_left_out_whole(conflicting, officer):
    choose_from_upload(upload=conflicting, by=officer, sheet="facilities.csv", shown=[3])

    upload = applied(conflicting, officer)

    assert (upload.state, Facility.objects.get(code="hill").name) == ("previewed", "Hill")
    assert upload.message == (
        "Nothing is chosen that would change the register. Choose rows to apply."
    )


def test_two_who_add_the_same_number_for_different_devices_are_told(register, officer, workbook):
    first, second = (
        filled(workbook, add("Equipment", **{**DEVICE, "Serial_number": serial}))
        for serial in ("A-1", "B-2")
    )
    applied(sent(first, register.north, officer), officer)

    upload = sent(second, register.north, officer)

    [row] = proposals_of(upload, "equipment.csv", "conflict", 0, 10)
    assert row["both"] == {"serial_number": [None, "A-1", "B-2"]}


def test_two_who_add_the_same_device_alike_agree(register, officer, workbook):
    content = filled(workbook, add("Equipment", **DEVICE))
    applied(sent(content, register.north, officer), officer)

    assert numbers(sent(content, register.north, officer))["equipment.csv"] == (0, 0, 0, 0, 2)


def test_a_workbook_left_as_it_was_does_not_undo_what_others_did(register, officer, workbook):
    Facility.objects.filter(code="hill").update(population=1, name="Renamed")

    upload = sent(workbook, register.north, officer)

    assert numbers(upload)["facilities.csv"] == (0, 0, 0, 0, 2)


def test_a_change_of_a_row_that_is_gone_is_refused(register, officer, workbook):
    content = filled(workbook, put("Equipment", "hill-001", "Note", "seen"))
    EquipmentItem.objects.filter(code="hill-001").delete()

    upload = sent(content, register.north, officer)

    [(line, _, value, reason, _)] = faults(upload, "equipment.csv")
    assert (line, value) == (2, "hill-001")
    assert reason.startswith("is not in the register any more")


def test_a_row_that_is_gone_and_that_nobody_changed_is_left_alone(register, officer, workbook):
    EquipmentItem.objects.filter(code="hill-001").delete()

    assert numbers(sent(workbook, register.north, officer))["equipment.csv"] == (0, 0, 0, 0, 1)


@pytest.mark.parametrize("mark", ["0" * 20, "spoiled", None])
def test_a_version_mark_that_is_not_ours_stops_the_file(register, officer, workbook, mark):
    def change(book):
        book["_version"]["A1"] = mark

    upload = sent(filled(workbook, change), register.north, officer)

    assert upload.state == "refused"
    assert "version mark is not one of ours" in upload.message


def test_without_the_sheet_of_the_mark_every_difference_is_a_change(register, officer, workbook):
    Facility.objects.filter(code="hill").update(population=1)

    upload = sent(filled(workbook, lambda book: book.remove(book["_version"])), register.north,
                  officer)  # fmt: skip

    assert numbers(upload)["facilities.csv"] == (0, 1, 0, 0, 1)
