"""Files for other programs, and files of one's own, on pages."""

import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook as Book

from apps.facilities.models import Facility
from apps.imports.models import ColumnMapping, UnmappedFile, Upload
from apps.imports.services import carry_out_upload, read_upload
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person

MAPPING = '<form method="post" class="mapping">'
OWN = (
    "Asset tag,Name of facility,Equipment,Functional status\n"
    "INV/07,Hill,Cuvette photometer,Working\n"
    "INV/08,Ford,Cuvette photometer,Wobbly\n"
)


def send(pages, name, content):
    content = content.encode() if isinstance(content, str) else content
    file = SimpleUploadedFile(name, content)
    return pages.post("/sites/uploads/send/", {"file": file, "place": "area:north"})


def columns_page(answer) -> str:
    assert answer.status_code == 302
    return answer.url


def fields(pages, url) -> dict[str, str]:
    """What the form at ``url`` would send as it stands."""
    html = pages.get(url).content.decode()
    form, found = html.split(MAPPING)[1].split("</form>")[0], {}
    for part in form.split("<select ")[1:]:
        name = part.split('name="')[1].split('"')[0]
        options = part.split("</select>")[0].split("<option")[1:]
        chosen = next((each for each in options if " selected" in each.split(">")[0]), options[0])
        value = chosen.split('value="')
        found[name] = value[1].split('"')[0] if len(value) > 1 else ""
    for part in form.split("<input ")[1:]:
        tag = part.split(">")[0]
        if 'name="' in tag:
            value = tag.split('value="')
            found[tag.split('name="')[1].split('"')[0]] = (
                value[1].split('"')[0] if len(value) > 1 else ""
            )
    return found


@pytest.mark.parametrize(
    ("name", "content", "kind"),
    [
        ("a.csv", "code,facility,note\nhill-001,hill,seen\n", "table"),
        ("a.geojson", json.dumps({"type": "FeatureCollection", "features": []}), "geojson"),
        ("a.json", json.dumps({"resourceType": "Bundle", "type": "collection"}), "fhir"),
        ("a.json", json.dumps({"format": "benchward-case", "version": 1}), "case"),
    ],
)
def test_what_a_file_is_is_found_out_and_said(pages, name, content, kind):
    answer = send(pages, name, content)

    upload = Upload.objects.get()
    assert (upload.kind, answer.url) == (kind, reverse("web:upload-detail", args=[upload.pk]))
    said = pages.get(answer.url).content.decode()
    assert f"{name} was taken for this: {upload.get_kind_display()}." in said


@pytest.mark.parametrize(
    ("name", "content", "problem"),
    [
        ("a.json", "{}", "a.json is JSON, but neither GeoJSON, a FHIR bundle nor a planning case."),
        ("a.png", b"\x89PNG\x00", "a.png is no text."),
        ("a.csv", b"", "The file is empty."),
    ],
)
def test_what_is_of_no_kind_is_refused_at_once(pages, name, content, problem):
    answer = send(pages, name, content)

    assert answer.status_code == 422
    assert problem in answer.content.decode()
    assert not Upload.objects.exists()


def test_ones_own_file_is_looked_at_confirmed_read_and_applied(pages, register):
    url = columns_page(send(pages, "own.csv", OWN))
    said = fields(pages, url)

    answer = pages.post(url, {**said, "word-condition-1": "idle", "confirm": "yes"})

    upload = Upload.objects.get()
    assert answer.url == reverse("web:upload-detail", args=[upload.pk])
    read_upload(upload.pk)
    pages.post(reverse("web:upload-apply", args=[upload.pk]))
    carry_out_upload(upload.pk)
    rows = EquipmentItem.objects.filter(code__startswith="inv").order_by("code")
    assert list(rows.values_list("code", "facility__code", "condition")) == [
        ("inv-07", "hill", "in_use"), ("inv-08", "ford", "idle"),
    ]  # fmt: skip
    assert ColumnMapping.objects.get().values["condition"]["Wobbly"] == "idle"


def test_columns_are_suggested_with_examples_and_unknown_words_are_counted(pages, register):
    page = pages.get(columns_page(send(pages, "own.csv", OWN))).content.decode()

    assert '<option value="equipment.csv" selected>Equipment</option>' in page
    assert page.count(" selected>") == 6
    assert "INV/07" in page
    assert "one word is not known" in page


def test_another_table_is_looked_at_before_it_is_confirmed(pages, register):
    url = columns_page(send(pages, "own.csv", OWN))
    said = fields(pages, url)

    answer = pages.post(url, {**said, "table": "facilities.csv", "confirm": "yes"})

    assert answer.status_code == 200
    assert '<option value="facilities.csv" selected>' in answer.content.decode()
    assert not Upload.objects.exists()


def test_a_column_that_rows_cannot_be_without_is_asked_for(pages, register):
    url = columns_page(send(pages, "own.csv", OWN))
    said = fields(pages, url)

    answer = pages.post(url, {**said, "column-0": "", "confirm": "yes"})

    assert answer.status_code == 422
    assert "No column is chosen to be Inventory number." in answer.content.decode()


def test_the_sheet_of_a_spreadsheet_can_be_chosen(pages, register):
    book = Book()
    book.active.append(["Cover"])
    sheet = book.create_sheet("Assets")
    for line in OWN.splitlines():
        sheet.append(line.split(","))
    file = io.BytesIO()
    book.save(file)
    url = columns_page(send(pages, "own.xlsx", file.getvalue()))

    answer = pages.post(url, {**fields(pages, url), "sheet": "Assets", "table": "equipment.csv"})

    page = answer.content.decode()
    assert "<option selected>Assets</option>" in page
    assert "INV/07" in page


def test_nobody_else_opens_a_file_that_waits_for_its_columns(pages, browse, register):
    url = columns_page(send(pages, "own.csv", OWN))
    colleague = browse(make_person("planner", register.north))

    assert colleague.get(url).status_code == 404
    assert UnmappedFile.objects.count() == 1


def test_the_page_of_files_offers_every_format(pages):
    page = pages.get("/sites/files/").content.decode()

    for address in (
        "/sites/files/places.geojson?district=north",
        "/sites/files/register.fhir.json?district=north",
        "/sites/files/equipment.csv?district=north",
        "/catalogue/files/methods.csv",
    ):
        assert f'href="{address}"' in page


@pytest.mark.parametrize(
    ("path", "media_type", "name"),
    [
        ("/sites/files/equipment.csv", "text/csv; charset=utf-8", "north-equipment.csv"),
        ("/sites/files/places.geojson", "application/geo+json", "north.geojson"),
        ("/sites/files/register.fhir.json", "application/fhir+json", "north.fhir.json"),
        ("/catalogue/files/methods.csv", "text/csv; charset=utf-8", "catalogue-methods.csv"),
    ],
)
def test_files_come_as_what_they_are(pages, path, media_type, name):
    answer = pages.get(path)

    assert answer.headers["Content-Type"] == media_type
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{name}"'
    assert answer.content


def test_a_bundle_is_a_transaction_where_that_is_asked_for(pages):
    kinds = [
        json.loads(pages.get(f"/sites/files/register.fhir.json{query}").content)["type"]
        for query in ("", "?type=transaction", "?type=message")
    ]

    assert kinds == ["collection", "transaction", "collection"]


@pytest.mark.parametrize(
    "path",
    ["/sites/files/equipment.csv", "/sites/files/places.geojson", "/sites/files/register.fhir.json",
     "/sites/files/"],
)  # fmt: skip
def test_another_district_cannot_be_asked_for(pages, path):
    assert pages.get(path, {"district": "south"}).status_code == 404


@pytest.mark.parametrize("path", ["/sites/files/people.csv", "/catalogue/files/people.csv"])
def test_a_table_that_is_not_there_is_not_found(pages, path):
    assert pages.get(path).status_code == 404


def test_a_file_holds_nothing_of_another_district(pages, register):
    Facility.objects.filter(code="coast").update(name="Coast")

    shown = "".join(
        pages.get(path).content.decode()
        for path in ("/sites/files/facilities.csv", "/sites/files/places.geojson",
                     "/sites/files/register.fhir.json", "/sites/files/equipment.csv")
    )  # fmt: skip

    assert "oast" not in shown
    assert "hill" in shown
