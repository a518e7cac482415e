"""A district's own file into the register, and the register out again, in the browser."""

import pytest
from playwright.sync_api import Page, expect

from apps.imports.models import Upload
from apps.imports.services import carry_out_upload, read_upload
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person, make_register
from tests.journeys.test_main_path import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OWN = (
    "Asset tag,Name of facility,Equipment,Functional status,Donor\n"
    "INV/07,Hill,Photometer with cuvettes,Working,Fund\n"
    "INV/08,Ford,Photometer with cuvettes,Wobbly,Fund\n"
)


def test_an_officer_names_the_columns_of_an_own_file_and_applies_it(
    live_server, page: Page, inspect
):
    register = make_register()
    officer = make_person("health_officer", register.north)
    sign_in(page, f"{live_server.url}/sites/", officer.username)
    page.get_by_role("link", name="Workbooks and uploads").click()
    page.get_by_label("File", exact=True).set_input_files(
        {"name": "own.csv", "mimeType": "text/csv", "buffer": OWN.encode()}
    )
    page.get_by_label("Which area may it change?").select_option("area:north")
    page.get_by_role("button", name="See what it would change").click()

    expect(page.get_by_role("heading", name="Which column is which?")).to_be_visible()
    expect(page.get_by_label("Asset tag")).to_have_value("code")
    expect(page.get_by_label("Donor")).to_have_value("")
    inspect(page)
    page.get_by_label("Photometer with cuvettes").fill("cuvette-photometer")
    page.get_by_label("Wobbly").select_option("repairable")
    page.get_by_role("button", name="Read it by this, and remember it").click()
    expect(page.get_by_role("heading", name="own.csv", exact=True)).to_be_visible()
    upload = Upload.objects.get()
    read_upload(upload.pk)
    page.goto(f"{live_server.url}/sites/uploads/{upload.pk}/")
    page.get_by_role("button", name="Apply 2 rows").click()
    expect(page.get_by_role("heading", name="own.csv", exact=True)).to_be_visible()
    carry_out_upload(upload.pk)

    items = EquipmentItem.objects.filter(code__startswith="inv").order_by("code")
    assert list(items.values_list("code", "facility__code", "condition")) == [
        ("inv-07", "hill", "in_use"),
        ("inv-08", "ford", "repairable"),
    ]


def test_an_auditor_takes_the_register_away_in_open_formats(live_server, page: Page, inspect):
    register = make_register()
    auditor = make_person("auditor", register.north)
    sign_in(page, f"{live_server.url}/sites/", auditor.username)

    page.get_by_role("link", name="Files for other programs").click()
    inspect(page)
    names = []
    for text in ("Sites and outlines as GeoJSON", "FHIR bundle, a collection", "Facilities"):
        with page.expect_download() as download:
            page.get_by_role("link", name=text, exact=True).click()
        names.append(download.value.suggested_filename)

    assert names == ["north.geojson", "north.fhir.json", "north-facilities.csv"]
