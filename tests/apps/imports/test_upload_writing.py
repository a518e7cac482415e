"""Applying and undoing: whole or not at all, and never over what others did since."""

import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from apps.audit.models import Entry
from apps.audit.selectors import chain_state
from apps.catalogue.models import DeviceModel
from apps.demand.models import Demand
from apps.facilities.models import Facility
from apps.imports.models import Upload, UploadContent
from apps.imports.services import (
    apply_upload,
    cancel_upload,
    carry_out_upload,
    choose_from_upload,
    read_again,
    read_upload,
    undo_upload,
)
from apps.inventory.models import EquipmentItem, SkillHeld
from tests.api.register import make_person
from tests.apps.imports.uploading import (
    add,
    applied,
    filled,
    given_out,
    numbers,
    put,
    sent,
    undone,
)
from tests.factories.inventory import make_item, make_verification

DEVICE = {
    "Inventory_number": "brook-1",
    "Facility": "brook",
    "Device_model": "cuvette-photometer",
    "Condition": "In use",
    "Received_on": dt.date(2025, 3, 1),
    "How_it_is_known": "Observed",
}
SITE = {"Code": "brook", "Name": "Brook", "Area": "upper", "Level": "Health post",
        "Latitude": 1, "Longitude": 30, "Power": "None"}  # fmt: skip


@pytest.fixture
def content(register, officer) -> bytes:
    """One value changed, one site more, one device in it."""
    return filled(
        given_out(register.north, officer),
        put("Facilities", "hill", "People in the catchment", 13_000),
        add("Facilities", **SITE),
        add("Equipment", **DEVICE),
    )


@pytest.fixture
def upload(register, officer, content) -> Upload:
    return sent(content, register.north, officer)


def state() -> tuple:
    """All that the uploads of this module touch."""
    return (
        list(Facility.objects.values_list("code", "population", "name")),
        list(EquipmentItem.objects.values_list("code", "facility__code", "received_on")),
        list(SkillHeld.objects.values_list("facility__code", "staff_count")),
    )


def test_reading_a_file_writes_nothing_to_the_register(register, officer, content):
    before = state()

    sent(content, register.north, officer)

    assert state() == before


def test_what_was_accepted_is_in_the_register(upload, officer):
    done = applied(upload, officer)

    assert (done.state, done.applied_by) == ("applied", officer)
    assert done.outcome["facilities.csv"] == {"created": 1, "changed": 1}
    item = EquipmentItem.objects.get(code="brook-1")
    assert (item.facility.code, item.condition, item.received_on, item.basis) == (
        "brook", "in_use", dt.date(2025, 3, 1), "observed",
    )  # fmt: skip
    assert Facility.objects.get(code="hill").population == 13_000


def test_the_history_says_which_file_changed_what_from_what_to_what(upload, officer):
    applied(upload, officer)

    entry = Entry.objects.get(action="upload.applied")
    assert (entry.by, entry.place) == (officer, "north/")
    assert (entry.after["file"], entry.after["sha256"]) == ("survey.xlsx", upload.sha256)
    assert entry.before["changed"]["facilities.csv"] == {"hill": {"population": 12_000},
                                                        "brook": None}  # fmt: skip
    assert entry.after["changed"]["facilities.csv"]["hill"] == {"population": 13_000}
    assert entry.after["changed"]["facilities.csv"]["brook"]["name"] == "Brook"
    assert chain_state().holds


def test_of_very_many_rows_the_history_keeps_the_digest(upload, officer, monkeypatch):
    monkeypatch.setattr("apps.imports.services.trails.MOST_IN_ENTRY", 2)

    applied(upload, officer)

    after = Entry.objects.get(action="upload.applied").after
    assert (after["rows"], after["changed"], len(after["changes_sha256"])) == (3, {}, 64)


def test_the_same_file_again_changes_nothing_and_says_when_it_was_applied(
    upload, register, officer, content
):
    applied(upload, officer)

    again = sent(content, register.north, officer)

    assert {counts[:4] for counts in numbers(again).values()} == {(0, 0, 0, 0)}
    assert again.notes[0].startswith("The same file was applied on ")


def test_undoing_puts_everything_back_as_one_step(register, officer, content):
    before = state()
    upload = applied(sent(content, register.north, officer), officer)

    back = undone(upload, officer)

    assert (back.state, back.undone_by, state()) == ("undone", officer, before)
    assert Entry.objects.get(action="upload.undone").after["rows"] == 3


def test_what_was_undone_can_be_sent_again(upload, register, officer, content):
    undone(applied(upload, officer), officer)

    again = applied(sent(content, register.north, officer), officer)

    assert (again.state, Facility.objects.get(code="hill").population) == ("applied", 13_000)


def test_undoing_is_refused_where_a_value_was_changed_since(upload, officer):
    applied(upload, officer)
    Facility.objects.filter(code="hill").update(population=14_000)
    before = state()

    refused = undone(upload, officer)

    assert (refused.state, state()) == ("applied", before)
    assert refused.message == (
        "Facilities: 1 row has been changed in the meantime: hill. Nothing was undone. Change the"
        " rows by hand, or undo the later changes first."
    )


def test_another_field_of_the_row_that_changed_since_stays_as_it_is_now(upload, officer):
    applied(upload, officer)
    Facility.objects.filter(code="hill").update(name="Hilltop")

    assert undone(upload, officer).state == "undone"
    hill = Facility.objects.get(code="hill")
    assert (hill.population, hill.name) == (12_000, "Hilltop")


def test_undoing_is_refused_where_something_hangs_on_what_was_added(upload, officer):
    applied(upload, officer)
    make_item(Facility.objects.get(code="brook"), DeviceModel.objects.get())
    before = state()

    refused = undone(upload, officer)

    assert (refused.state, state()) == ("applied", before)
    assert refused.message.startswith(
        "Facilities: brook has equipment items by now, which would be lost."
    )


def test_undoing_takes_nothing_along_that_a_database_would_remove_with_a_row(upload, officer):
    applied(upload, officer)
    known = Demand.objects.first()
    Demand.objects.create(facility=Facility.objects.get(code="brook"), test=known.test,
                          tests_per_year=5, basis="demo", year=2026)  # fmt: skip

    refused = undone(upload, officer)

    assert refused.state == "applied"
    assert "brook has demands by now" in refused.message
    assert Demand.objects.filter(facility__code="brook").exists()


def test_applying_is_refused_where_the_register_changed_after_the_look(upload, officer):
    Facility.objects.filter(code="hill").update(population=14_000)

    refused = applied(upload, officer)

    assert refused.state == "previewed"
    assert refused.message.endswith(
        "Read the file again to see what it would change now, then apply it."
    )
    assert not Facility.objects.filter(code="brook").exists()


def test_after_that_the_file_is_read_again_and_the_conflict_is_shown(upload, officer):
    Facility.objects.filter(code="hill").update(population=14_000)
    applied(upload, officer)

    read_again(upload=upload, by=officer)
    read_upload(upload.pk)

    upload.refresh_from_db()
    assert numbers(upload)["facilities.csv"] == (1, 0, 1, 0, 1)


def test_what_rests_on_a_row_that_was_left_out_is_not_written_either(upload, officer):
    choose_from_upload(upload=upload, by=officer, sheet="facilities.csv", leave=True)
    before = state()

    refused = applied(upload, officer)

    assert (refused.state, state()) == ("previewed", before)
    assert refused.message == (
        "Equipment: brook is not there, or outside your areas. Choose the row that it names too,"
        " or leave this one out."
    )


def test_a_mistake_of_ours_leaves_the_register_as_it_was(upload, officer, monkeypatch):
    def fail(*, by):
        raise ZeroDivisionError

    monkeypatch.setattr("apps.imports.services.changing.end_outdated", fail)
    before = state()

    failed = applied(upload, officer)

    assert (failed.state, state()) == ("previewed", before)
    assert "Something went wrong on our side; nothing was changed." in failed.message


def test_a_worker_that_is_killed_in_the_middle_leaves_the_register_as_it_was(
    upload, officer, monkeypatch
):
    def killed(*, by):
        raise SystemExit

    monkeypatch.setattr("apps.imports.services.changing.end_outdated", killed)
    before = state()
    apply_upload(upload=upload, by=officer)

    with pytest.raises(SystemExit):
        carry_out_upload(upload.pk)

    upload.refresh_from_db()
    assert (upload.state, state()) == ("previewed", before)


def test_a_device_that_broke_loses_its_verification_and_its_owner_sees_why(register, officer):
    make_verification(EquipmentItem.objects.get(code="hill-001"), valid_until=dt.date(2099, 1, 1))
    content = filled(
        given_out(register.north, officer),
        put("Equipment", "hill-001", "Condition", "Broken, can be repaired"),
    )

    applied(sent(content, register.north, officer), officer)

    [verification] = EquipmentItem.objects.get(code="hill-001").verifications.all()
    assert verification.ended_by == "condition"


def test_whoever_applies_needs_the_areas_too(upload, register):
    outsider = make_person("health_officer", register.south)

    refused = applied(upload, outsider)

    assert refused.state == "previewed"
    assert not Facility.objects.filter(code="brook").exists()


@pytest.mark.parametrize("service", [apply_upload, undo_upload, cancel_upload, read_again])
def test_an_auditor_does_none_of_it(upload, register, service):
    with pytest.raises(PermissionDenied):
        service(upload=upload, by=make_person("auditor", register.north))


def test_each_step_is_refused_where_the_upload_does_not_stand_so(upload, officer):
    with pytest.raises(ValidationError, match="expected “applied”"):
        undo_upload(upload=upload, by=officer)
    applied(upload, officer)
    for service in (apply_upload, cancel_upload, read_again):
        with pytest.raises(ValidationError, match="The upload is “applied”"):
            service(upload=upload, by=officer)


def test_a_worker_that_comes_twice_writes_once(upload, officer):
    applied(upload, officer)

    carry_out_upload(upload.pk)

    assert Entry.objects.filter(action="upload.applied").count() == 1


def test_the_file_is_kept_no_longer_than_it_is_needed(upload, officer):
    kept = UploadContent.objects.filter(upload=upload).exists()

    applied(upload, officer)

    assert (kept, UploadContent.objects.filter(upload=upload).exists()) == (True, False)
