"""The register in open formats over the API, and files of every kind sent to it."""

import csv
import io
import json

import pytest
from django.core.files.base import ContentFile

from apps.imports.models import ColumnMapping, Upload
from apps.imports.services import read_upload

OWN = (
    "Asset tag,Name of facility,Equipment,Functional status\nINV/07,Hill,Cuvette photometer,Good\n"
)
GEOJSON, FHIR, CSV = "application/geo+json", "application/fhir+json", "text/csv"
COLUMNS = ["code", "facility", "device_model", "condition"]


def send(api, name, content, **values):
    body = {"file": ContentFile(content.encode(), name), "area": "north", **values}
    return api.post("/api/v1/uploads/", body, format="multipart")


def read(answer) -> Upload:
    read_upload(answer.json()["id"])
    return Upload.objects.get(pk=answer.json()["id"])


@pytest.mark.parametrize(
    ("path", "accept", "media_type", "kind"),
    [
        ("register/", None, GEOJSON, "FeatureCollection"),
        ("register/", "*/*", GEOJSON, "FeatureCollection"),
        ("register/", GEOJSON, GEOJSON, "FeatureCollection"),
        ("register/", FHIR, FHIR, "collection"),
        ("register/?type=transaction", FHIR, FHIR, "transaction"),
        ("register.geojson", None, GEOJSON, "FeatureCollection"),
        ("register.fhir.json", None, FHIR, "collection"),
        ("register.fhir.json?type=transaction", None, FHIR, "transaction"),
    ],
)
def test_the_format_is_that_of_the_ending_or_of_the_accept_header(
    api, path, accept, media_type, kind
):
    headers = {"HTTP_ACCEPT": accept} if accept else {}

    answer = api.get(f"/api/v1/areas/north/{path}", **headers)

    assert (answer.status_code, answer.headers["Content-Type"]) == (200, media_type)
    assert json.loads(answer.content)["type"] == kind


def test_a_table_is_csv_with_the_columns_of_an_upload(api):
    answer = api.get("/api/v1/areas/north/tables/skills-held.csv")

    head, row = csv.reader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert answer.headers["Content-Type"] == CSV
    assert dict(zip(head, row, strict=True))["skill"] == "microscopy"


@pytest.mark.parametrize(
    ("path", "accept", "status", "code"),
    [
        ("areas/south/register/", GEOJSON, 404, "not_found"),
        ("areas/south/register.geojson", GEOJSON, 404, "not_found"),
        ("areas/north/register/", "text/html", 406, "not_acceptable"),
        ("areas/north/register.geojson", FHIR, 406, "not_acceptable"),
        ("areas/north/tables/people.csv", "*/*", 404, "not_found"),
        ("areas/south/tables/equipment.csv", "*/*", 404, "not_found"),
    ],
)
def test_a_mistake_is_told_of_in_json_as_everywhere(api, path, accept, status, code):
    answer = api.get(f"/api/v1/{path}", HTTP_ACCEPT=accept)

    assert (answer.status_code, answer.headers["Content-Type"]) == (status, "application/json")
    assert answer.json()["error"]["code"] == code


@pytest.mark.parametrize("ending", ["register.geojson", "register.fhir.json"])
def test_what_is_got_and_sent_back_changes_nothing(api, ending):
    content = api.get(f"/api/v1/areas/north/{ending}").content.decode()

    upload = read(send(api, ending, content, kind="any"))

    assert upload.state == "previewed"
    assert all(
        counts[verdict] == 0
        for counts in upload.counts.values()
        for verdict in ("new", "changed", "conflict", "refused")
    )


def test_the_kind_of_a_file_may_be_found_out(api):
    answer = send(api, "a.csv", "code,facility,note\nhill-001,hill,seen\n", kind="any")

    assert (answer.status_code, answer.json()["kind"]) == (202, "table")


def test_columns_of_ones_own_file_are_named_in_the_request_and_remembered(api):
    mapping = {
        "table": "equipment.csv",
        "columns": COLUMNS,
        "values": {
            "facility": {"Hill": "hill"},
            "device_model": {"Cuvette photometer": "cuvette-photometer"},
            "condition": {"Good": "in_use"},
        },
    }

    first = send(api, "own.csv", OWN, kind="any", mapping=json.dumps(mapping))
    second = send(api, "own.csv", OWN, kind="mapped")

    assert [answer.status_code for answer in (first, second)] == [202, 202]
    assert read(second).counts["equipment.csv"]["new"] == 1
    assert ColumnMapping.objects.get().columns == COLUMNS


def test_columns_that_nobody_has_named_are_asked_for_with_what_they_seem_to_be(api):
    answer = send(api, "own.csv", OWN, kind="any")

    assert answer.status_code == 400
    assert answer.json()["error"]["fields"] == {
        "mapping": [
            'Say which column is which; it seems to be {"table": "equipment.csv", "columns":'
            ' ["code", "facility", "device_model", "condition"]}.'
        ]
    }
    assert not Upload.objects.exists()


@pytest.mark.parametrize("mapping", ["[1]", '{"table": "equipment.csv"}', '{"columns": 3}'])
def test_a_mapping_that_is_none_is_refused(api, mapping):
    answer = send(api, "own.csv", OWN, kind="mapped", mapping=mapping)

    assert answer.status_code == 400
    assert list(answer.json()["error"]["fields"]) == ["mapping"]


def test_a_file_of_no_kind_is_refused_with_what_to_do(api):
    answer = send(api, "a.json", "{}", kind="any")

    assert answer.status_code == 400
    assert answer.json()["error"]["fields"] == {
        "file": [
            "a.json is JSON, but neither GeoJSON, a FHIR bundle nor a planning case. Export it"
            " again in one of these formats, or upload a table."
        ]
    }
