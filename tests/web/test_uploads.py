"""Workbooks and uploads on pages: got, sent, looked at, picked from, applied, undone."""

import io

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from apps.facilities.models import Facility
from apps.imports.models import Upload
from apps.imports.services import carry_out_upload, read_upload, take_back_upload
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person
from tests.apps.imports.uploading import add, filled, given_out, put, sent

NEW_DEVICE = {
    "Inventory_number": "hill-002",
    "Facility": "Hill (hill)",
    "Device_model": "Cuvette photometer (cuvette-photometer)",
    "Condition": "In use",
    "How_it_is_known": "Observed",
}


@pytest.fixture
def content(register, officer) -> bytes:
    """A workbook with one value changed, one device more, and one value nobody can read."""
    return filled(
        given_out(register.north, officer),
        put("Facilities", "hill", "People in the catchment", 13_000),
        put("Facilities", "ford", "People in the catchment", "many"),
        add("Equipment", **NEW_DEVICE),
    )


@pytest.fixture
def upload(register, officer, content) -> Upload:
    return sent(content, register.north, officer)


def page(pages, upload) -> str:
    return pages.get(reverse("web:upload-detail", args=[upload.pk])).content.decode()


def step(pages, name: str, upload, **values):
    return pages.post(reverse(f"web:upload-{name}", args=[upload.pk]), values)


def test_the_page_of_uploads_stands_beside_the_sites(pages):
    assert 'href="/sites/uploads/"' in pages.get("/sites/").content.decode()


@pytest.mark.parametrize(
    ("place", "sites"),
    [("area:north", {"hill", "ford"}), ("area:upper", {"hill", "ford"}), ("site:hill", {"hill"})],
)
def test_a_workbook_is_of_the_place_that_was_asked_for(pages, place, sites):
    answer = pages.post("/sites/uploads/workbook/", {"place": place})

    rows = load_workbook(io.BytesIO(answer.content))["Facilities"].iter_rows(min_row=2)
    assert {row[0].value for row in rows if row[0].value} == sites
    assert "attachment" in answer.headers["Content-Disposition"]


@pytest.mark.parametrize("place", ["area:south", "site:coast", "area:nowhere", "x"])
def test_a_workbook_of_another_place_is_not_given_out(pages, place):
    assert pages.post("/sites/uploads/workbook/", {"place": place}).status_code == 422


def test_the_tables_of_the_district_come_as_one_workbook(pages):
    answer = pages.get("/sites/register.xlsx")

    book = load_workbook(io.BytesIO(answer.content))
    assert book["Equipment"]["A2"].value == "hill-001"
    assert "_version" not in book.sheetnames


def test_a_file_that_is_sent_gets_a_page_of_its_own(
    pages, content, register, django_capture_on_commit_callbacks
):
    file = io.BytesIO(content)
    file.name = "north.xlsx"

    answer = pages.post("/sites/uploads/send/", {"file": file, "place": "area:north"})

    upload = Upload.objects.get()
    assert answer.url == f"/sites/uploads/{upload.pk}/"
    assert (upload.file_name, upload.area, upload.state) == (
        "north.xlsx",
        register.north,
        "waiting",
    )
    assert "Waiting for the worker" in page(pages, upload)


def test_an_empty_file_is_refused_beside_its_field(pages):
    file = io.BytesIO(b"")
    file.name = "north.xlsx"

    answer = pages.post("/sites/uploads/send/", {"file": file, "place": "area:north"})

    assert answer.status_code == 422
    assert "The file is empty." in answer.content.decode()
    assert not Upload.objects.exists()


def test_the_look_says_what_is_refused_first_then_what_would_change(pages, upload):
    shown = page(pages, upload)

    refused, changed = shown.index("one row refused"), shown.index("one row changed")
    assert refused < changed < shown.index("one new row")
    assert "<code>many</code>" in shown
    assert "<del>12000</del> → <ins>13000</ins>" in shown
    assert "Apply 2 rows" in shown
    assert Facility.objects.get(code="hill").population == 12_000


def test_what_is_left_unchecked_is_not_applied(pages, upload):
    step(pages, "choose", upload, sheet="equipment.csv", shown="[3]")
    step(pages, "apply", upload)
    carry_out_upload(upload.pk)

    assert Facility.objects.get(code="hill").population == 13_000
    assert not EquipmentItem.objects.filter(code="hill-002").exists()
    assert "Undo all of it" in page(pages, upload)


def test_a_sheet_is_left_out_and_taken_in_again(pages, upload):
    step(pages, "choose", upload, sheet="equipment.csv", leave="yes")
    without = page(pages, upload)
    step(pages, "choose", upload, sheet="equipment.csv", leave="no")

    assert "Apply one row" in without
    assert "Apply 2 rows" in page(pages, upload)


def test_an_upload_is_applied_and_undone_from_its_page(pages, upload):
    step(pages, "apply", upload)
    carry_out_upload(upload.pk)
    applied = page(pages, upload)
    step(pages, "undo", upload)
    take_back_upload(upload.pk)

    assert "Applied by health_officer-north" in applied
    assert "The register is as it was before." in page(pages, upload)
    assert Facility.objects.get(code="hill").population == 12_000


def test_an_upload_that_is_given_up_leaves_nothing(pages, upload):
    step(pages, "cancel", upload)

    assert "Given up." in page(pages, upload)
    assert not upload.pieces.exists()


def test_what_was_read_before_is_compared_anew(pages, upload):
    Facility.objects.filter(code="hill").update(population=13_000)

    step(pages, "read-again", upload)
    read_upload(upload.pk)

    assert "Apply one row" in page(pages, upload)


def test_all_rows_of_a_kind_have_a_page(pages, upload):
    answer = pages.get(f"/sites/uploads/{upload.pk}/rows/equipment/new/")

    assert "hill-002" in answer.content.decode()
    assert pages.get(f"/sites/uploads/{upload.pk}/rows/equipment/old/").status_code == 404
    assert pages.get(f"/sites/uploads/{upload.pk}/rows/passwords/new/").status_code == 404


def test_progress_is_told_until_there_is_none_to_come(pages, register, officer, upload):
    answer = pages.get(reverse("web:upload-progress", args=[upload.pk]))

    assert answer.headers["X-Run-Finished"] == "yes"
    step(pages, "read-again", upload)
    again = pages.get(reverse("web:upload-progress", args=[upload.pk]))
    assert again.headers["X-Run-Finished"] == "no"


@pytest.mark.parametrize("name", ["apply", "undo", "cancel", "choose", "read-again"])
def test_nobody_touches_an_upload_for_another_district(browse, register, upload, name):
    outsider = browse(make_person("health_officer", register.south))

    assert step(outsider, name, upload).status_code == 404
    upload.refresh_from_db()
    assert upload.state == "previewed"


@pytest.mark.parametrize("name", ["detail", "progress"])
def test_nobody_looks_at_an_upload_for_another_district(browse, register, upload, name):
    outsider = browse(make_person("health_officer", register.south))

    assert outsider.get(reverse(f"web:upload-{name}", args=[upload.pk])).status_code == 404
    assert "survey.xlsx" not in outsider.get("/sites/uploads/").content.decode()


def test_an_auditor_gets_tables_but_sends_nothing(browse, register, upload):
    auditor = browse(make_person("auditor", register.north))

    paths = ["/sites/register.xlsx", "/sites/uploads/", f"/sites/uploads/{upload.pk}/"]

    assert [auditor.get(path).status_code for path in paths] == [200, 403, 403]
    assert step(auditor, "apply", upload).status_code == 403
    assert "/sites/uploads/" not in auditor.get("/sites/").content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_number_of_queries_however_many_uploads(
    pages, register, officer, content, count, django_assert_num_queries
):
    for number in range(count):
        sent(content, register.north, officer, name=f"{number}.xlsx")

    with django_assert_num_queries(12):
        pages.get("/sites/uploads/")
