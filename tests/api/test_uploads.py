"""Uploads over the API: sent, looked at, picked from, applied, undone, given up."""

import pytest
from django.core.files.base import ContentFile

from apps.facilities.models import Facility
from apps.imports.models import Upload
from apps.imports.services import carry_out_upload, read_upload, take_back_upload
from apps.inventory.models import EquipmentItem
from tests.apps.imports.uploading import add, filled, given_out, put

NEW_DEVICE = {
    "Inventory_number": "hill-002",
    "Facility": "hill",
    "Device_model": "cuvette-photometer",
    "Condition": "In use",
    "How_it_is_known": "Observed",
}


@pytest.fixture
def content(register, planner) -> bytes:
    return filled(
        given_out(register.north, planner),
        put("Facilities", "hill", "People in the catchment", 13_000),
        put("Facilities", "ford", "People in the catchment", "many"),
        add("Equipment", **NEW_DEVICE),
    )


def send(api, content: bytes, key: str = "", **values):
    headers = {"Idempotency-Key": key} if key else {}
    body = {"file": ContentFile(content, "north.xlsx"), "area": "north", **values}
    return api.post("/api/v1/uploads/", body, format="multipart", headers=headers)


def read(answer) -> str:
    """The address of the upload after a worker has read it."""
    read_upload(answer.json()["id"])
    return answer["Location"]


def test_a_file_is_sent_and_its_rows_are_counted(api, content):
    answer = send(api, content)
    address = read(answer)

    told = api.get(address).json()

    assert (answer.status_code, answer.json()["state"]) == (202, "waiting")
    assert (told["state"], told["file_name"], told["area"]) == ("previewed", "north.xlsx", "north")
    counts = {sheet["sheet"]: (sheet["changed"], sheet["new"], sheet["refused"]) for sheet in
              told["sheets"]}  # fmt: skip
    assert counts["facilities.csv"] == (1, 0, 1)
    assert counts["equipment.csv"] == (0, 1, 0)


def test_what_each_row_would_do_is_told_in_pages(api, content):
    address = read(send(api, content))

    changed = api.get(f"{address}rows/facilities.csv/changed/").json()
    refused = api.get(f"{address}rows/facilities.csv/refused/").json()

    assert changed["count"] == 1
    assert changed["results"] == [
        {
            "line": 3,
            "key": ["hill"],
            "fields": [
                {
                    "field": "population",
                    "before": 12_000,
                    "after": 13_000,
                    "given_out": None,
                    "is_conflict": False,
                }
            ],
            "faults": [],
        }
    ]
    assert refused["results"][0]["faults"] == [
        {
            "column": "People in the catchment",
            "value": "many",
            "reason": "does not fit this column",
            "remedy": "Expected a whole number, 0 or more, or nothing.",
        }
    ]


def test_what_was_chosen_is_applied_and_undone(api, content):
    address = read(send(api, content))
    choice = {"equipment.csv": {"without": [3]}}

    accepted = api.post(f"{address}apply/", {"choice": choice})
    carry_out_upload(accepted.json()["id"])
    after = Facility.objects.get(code="hill").population
    api.post(f"{address}undo/")
    take_back_upload(accepted.json()["id"])

    assert accepted.status_code == 202
    assert (after, EquipmentItem.objects.filter(code="hill-002").exists()) == (13_000, False)
    assert Facility.objects.get(code="hill").population == 12_000
    assert api.get(address).json()["state"] == "undone"


def test_a_file_that_is_sent_again_with_its_key_is_one_upload(api, content):
    first, again = send(api, content, "key-1"), send(api, content, "key-1")
    other = send(api, content + b"x", "key-1")

    assert again.json()["id"] == first.json()["id"]
    assert again["Idempotency-Replayed"] == "true"
    assert (other.status_code, other.json()["error"]["code"]) == (422, "key_reused")
    assert Upload.objects.count() == 1


def test_what_cannot_be_done_as_the_upload_stands_is_a_conflict(api, content):
    address = send(api, content)["Location"]

    answer = api.post(f"{address}apply/", {})

    assert answer.status_code == 409
    assert answer.json()["error"]["code"] == "state"


@pytest.mark.parametrize(
    ("values", "field"),
    [({"area": "south"}, "area"), ({"kind": "photo"}, "kind"), ({"colour": "red"}, "colour")],
)
def test_what_is_sent_wrongly_is_refused_at_its_field(api, content, values, field):
    answer = send(api, content, **values)

    assert answer.status_code == 400
    assert field in answer.json()["error"]["fields"]


def test_an_empty_file_is_refused(api):
    answer = send(api, b"")

    assert answer.status_code == 400
    assert "The file is empty." in answer.json()["error"]["message"]


def test_a_choice_of_a_sheet_that_the_file_lacks_is_refused(api, content):
    address = read(send(api, content))

    answer = api.post(f"{address}apply/", {"choice": {"passwords.csv": {}}})

    assert answer.status_code == 400
    assert api.get(address).json()["state"] == "previewed"


def test_rows_of_no_such_sheet_or_kind_are_not_found(api, content):
    address = read(send(api, content))

    asked = [api.get(f"{address}rows/{path}/") for path in ("x.csv/new", "equipment.csv/old")]

    assert [answer.status_code for answer in asked] == [404, 404]


def test_an_upload_given_up_is_no_more_applied(api, content):
    address = read(send(api, content))

    given_up = api.post(f"{address}cancel/")
    answer = api.post(f"{address}apply/", {})

    assert (given_up.json()["state"], answer.status_code) == ("cancelled", 409)


def test_uploads_of_another_district_are_not_listed(api, as_person, outsider, content):
    send(api, content)

    assert api.get("/api/v1/uploads/?state=waiting").json()["count"] == 1
    assert as_person(outsider).get("/api/v1/uploads/").json()["count"] == 0
