"""Sheets that name devices, cadres and consumables: what lies elsewhere is not there."""

import datetime as dt

from apps.inventory.models import ConsumableHeld, EquipmentItem, ServiceEntry, StaffHeld
from tests.apps.imports.uploading import (
    add,
    applied,
    faults,
    filled,
    given_out,
    numbers,
    put,
    sent,
    undone,
)

HEADS = ("Item", "Done on", "Kind", "Cause", "Parts", "Days down", "Cost", "Done by",
         "Next due on", "Note")  # fmt: skip
DEVICE = {
    "Inventory_number": "hill-002",
    "Facility": "hill",
    "Device_model": "cuvette-photometer",
    "Condition": "In use",
    "How_it_is_known": "Observed",
}


def log(*items: str):
    """A sheet of the service log that says each of ``items`` was mended in March."""

    def change(book):
        sheet = book.create_sheet("Service log")
        sheet.append(HEADS)
        for item in items:
            sheet.append([item, dt.date(2026, 3, 1), "Repair"])

    return change


def test_a_log_of_a_device_is_taken_and_undone(register, officer):
    content = filled(given_out(register.north, officer), log("hill-001"))

    upload = applied(sent(content, register.north, officer), officer)
    [entry] = ServiceEntry.objects.all()
    undone(upload, officer)

    assert (entry.item.code, entry.done_on) == ("hill-001", dt.date(2026, 3, 1))
    assert not ServiceEntry.objects.exists()


def test_a_device_of_another_district_cannot_be_named(register, officer):
    upload = sent(
        filled(given_out(register.north, officer), log("coast-001")), register.north, officer
    )

    [(line, heading, value, reason, _)] = faults(upload, "service_log.csv")
    assert (line, heading, value) == (2, "Item", "coast-001")
    assert reason == "is none of the equipment items that you can name here"


def test_a_device_that_the_file_adds_can_be_named_by_its_log(register, officer):
    content = filled(
        given_out(register.north, officer), add("Equipment", **DEVICE), log("hill-002")
    )

    upload = sent(content, register.north, officer)

    assert numbers(upload)["service_log.csv"] == (1, 0, 0, 0, 0)
    assert applied(upload, officer).state == "applied"
    assert ServiceEntry.objects.get().item == EquipmentItem.objects.get(code="hill-002")


def test_staff_and_days_of_stock_are_asked_of_every_site(register, officer):
    content = filled(
        given_out(register.north, officer),
        put("Staff", "hill", "People", 3),
        put("Staff", "hill", "How it is known", "Observed"),
        put("Days of stock", "ford", "Days of stock", 14),
        put("Days of stock", "ford", "How it is known", "Reported"),
    )

    upload = applied(sent(content, register.north, officer), officer)

    assert upload.state == "applied"
    assert [(row.facility.code, row.staff_count) for row in StaffHeld.objects.all()] == [
        ("hill", 3)
    ]
    assert [(row.facility.code, row.days_of_stock) for row in ConsumableHeld.objects.all()] == [
        ("ford", 14)
    ]
