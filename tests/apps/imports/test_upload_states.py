"""An upload from its arrival to its end, whatever happens to the worker in between."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from apps.audit.models import Entry
from apps.imports import tasks
from apps.imports.choices import UploadState
from apps.imports.models import Upload
from apps.imports.selectors import proposal_rows
from apps.imports.services import (
    cancel_upload,
    mark_uploads_interrupted,
    read_upload,
    receive_upload,
)
from tests.apps.imports.uploading import add, filled, given_out, put, sent


@pytest.fixture
def content(register, officer) -> bytes:
    return filled(
        given_out(register.north, officer),
        put("Facilities", "hill", "People in the catchment", 13_000),
    )


@pytest.fixture
def waiting(register, officer, content) -> Upload:
    return receive_upload(file_name="survey.xlsx", content=content, area=register.north, by=officer)


def test_a_file_is_handed_to_a_worker_once_it_is_kept(
    register, officer, content, django_capture_on_commit_callbacks, monkeypatch
):
    monkeypatch.setattr(tasks, "_beating", _Still)
    with django_capture_on_commit_callbacks(execute=True):
        upload = receive_upload(
            file_name="survey.xlsx", content=content, area=register.north, by=officer
        )

    upload.refresh_from_db()
    assert (upload.state, upload.heartbeat_at) == ("previewed", None)


class _Still:
    """No heart beats: another thread would not see the transaction of a test."""

    def __init__(self, upload_id: int) -> None:
        self.upload_id = upload_id

    def __enter__(self) -> None: ...

    def __exit__(self, *problem: object) -> None: ...


@pytest.mark.parametrize(("size", "fits"), [(50 * 2**20, True), (50 * 2**20 + 1, False)])
def test_a_file_of_50_mb_is_taken_and_one_of_a_byte_more_is_not(register, officer, size, fits):
    def receive() -> Upload:
        return receive_upload(
            file_name="a.xlsx", content=bytes(size), area=register.north, by=officer
        )

    if fits:
        assert receive().size_bytes == size
    else:
        with pytest.raises(ValidationError, match="expected at most 50 MB"):
            receive()


def test_an_upload_that_waits_is_given_up_at_once(waiting, officer):
    cancel_upload(upload=waiting, by=officer)
    read_upload(waiting.pk)

    waiting.refresh_from_db()
    assert waiting.state == "cancelled"
    assert not hasattr(waiting, "content")
    assert not waiting.pieces.exists()


def test_a_reading_that_is_to_stop_leaves_nothing(waiting, officer, monkeypatch):
    read = Upload.objects.filter(pk=waiting.pk)

    def cancelled_in_the_middle(self, sheet, *rest):
        waiting.refresh_from_db()
        cancel_upload(upload=waiting, by=officer)
        return keep(self, sheet, *rest)

    preview = "apps.imports.services.previewing._Preview"
    keep = (
        __import__("importlib")
        .import_module("apps.imports.services.previewing")
        ._Preview._keep_sheet
    )
    monkeypatch.setattr(f"{preview}._keep_sheet", cancelled_in_the_middle)
    read_upload(waiting.pk)

    waiting.refresh_from_db()
    assert read.get().state == "cancelled"
    assert not waiting.pieces.exists()
    assert Entry.objects.filter(action="upload.cancelled").exists()


def test_a_mistake_of_ours_while_reading_keeps_the_file_to_be_read_again(waiting, monkeypatch):
    def fail(*arguments):
        raise ZeroDivisionError

    monkeypatch.setattr("apps.imports.services.previewing.Scope", fail)
    read_upload(waiting.pk)

    waiting.refresh_from_db()
    assert waiting.state == "interrupted"
    assert waiting.message.startswith("Something went wrong on our side; nothing was changed.")
    assert waiting.content.content


@pytest.mark.parametrize(
    ("state", "then"),
    [("reading", "interrupted"), ("applying", "previewed"), ("undoing", "applied")],
)
@pytest.mark.parametrize(("seconds", "lost"), [(59, False), (61, True)])
def test_an_upload_whose_worker_is_gone_is_put_back(waiting, settings, state, then, seconds, lost):
    settings.RUN_LOST_AFTER_SECONDS = 60
    beaten = timezone.now() - dt.timedelta(seconds=seconds)
    Upload.objects.filter(pk=waiting.pk).update(state=state, heartbeat_at=beaten)

    assert mark_uploads_interrupted() == int(lost)

    waiting.refresh_from_db()
    assert waiting.state == (then if lost else state)
    assert ("The register is as it was before." in waiting.message) == lost


def test_an_upload_that_no_worker_has_taken_yet_is_not_lost(waiting):
    Upload.objects.filter(pk=waiting.pk).update(state=UploadState.APPLYING, heartbeat_at=None)

    assert mark_uploads_interrupted() == 0


def test_pieces_of_a_file_are_read_page_by_page(register, officer, monkeypatch):
    monkeypatch.setattr("apps.imports.services.pieces.PIECE_ROWS", 3)
    device = {"Facility": "hill", "Device_model": "cuvette-photometer", "Condition": "In use",
              "How_it_is_known": "Observed"}  # fmt: skip
    devices = [add("Equipment", Inventory_number=f"new-{at}", **device) for at in range(8)]
    upload = sent(filled(given_out(register.north, officer), *devices), register.north, officer)

    rows = proposal_rows(upload, "equipment.csv", "new")

    codes = [f"new-{at}" for at in range(8)]
    assert len(rows) == 8
    assert [row["key"][0] for row in rows[0:8]] == codes
    assert [row["key"][0] for row in rows[2:7]] == codes[2:7]
    assert [row["key"][0] for row in rows[6:99]] == codes[6:]
    assert rows[8:9] == []
