"""Verifications over the API: kept once, worked out from readings, withdrawn with a reason."""

import pytest

from apps.audit.models import Entry
from apps.catalogue.models import DeviceClass
from apps.inventory.models import EquipmentItem, Verification
from tests.api.register import make_person
from tests.factories.catalogue import make_limit
from tests.factories.inventory import make_verification

ADDRESS = "/api/v1/verifications/"
BODY = {
    "item": "hill-001",
    "kind": "paired",
    "rule": "bench",
    "subject": "photometer",
    "done_on": "2026-01-20",
    "operator": "technician",
    "reference": "Analyser of the district hospital",
    "readings": [[12.1, 12.0], [13.0, 13.2], [9.4, 9.5]],
}


@pytest.fixture
def officer(as_person, register):
    make_limit(
        "bench-bias", rule="bench", device_class=DeviceClass.objects.get(), ucum="g/dL",
        minimum_samples=3,
        valid_months=6,
    )  # fmt: skip
    return as_person(make_person("health_officer", register.north))


def test_readings_are_worked_out_and_kept_with_their_limits(officer):
    answer = officer.post(ADDRESS, BODY)

    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert answer["Location"] == f"{ADDRESS}hill-001-v1/"
    assert {
        name: body[name] for name in ("code", "site", "outcome", "valid_until", "ended_on")
    } == {
        "code": "hill-001-v1",
        "site": "hill",
        "outcome": "pass",
        "valid_until": "2026-07-20",
        "ended_on": None,
    }
    assert body["readings"]["rows"] == BODY["readings"]
    assert body["figures"]["bias"] == pytest.approx(-0.2 / 3)
    assert [limit["code"] for limit in body["limits"]["limits"]] == ["bench-bias"]
    assert officer.get(answer["Location"]).json() == body
    assert Entry.objects.get(action="verification.recorded").object_key == "hill-001-v1"


def test_the_same_key_keeps_one_verification(officer):
    answers = [
        officer.post(ADDRESS, BODY, headers={"Idempotency-Key": "bench-1"}) for _ in range(2)
    ]

    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[1]["Idempotency-Replayed"] == "true"
    assert Verification.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"readings": [[12.1, -1], [1, 2]]}, "readings", "row 1, reference: expected a measured"),
        ({"readings": [[1, 2], [1, 2, 3]]}, "readings", "row 2: Expected 2 numbers"),
        ({"readings": [[120, 12.0], [130, 13]]}, "readings", "readings: those of the device are"),
        ({"rule": "none"}, "rule", "No such limits for this device. There are (rule/subject): "),
        ({"kind": "spin", "readings": [[0, 100], [9, 100]]}, "readings", "limits: those of"),
        ({"done_on": "2999-01-01"}, "done_on", "The day lies in the future."),
        ({"item": "coast-001"}, "item", "There is no 'coast-001' that you may use here."),
        ({"analyte": "urea"}, "analyte", "Say what was measured"),
        ({"oparator": "x"}, "oparator", "There is no such field."),
    ],
)
def test_what_cannot_be_kept_is_refused_at_its_field(officer, changed, field, said):
    answer = officer.post(ADDRESS, {**BODY, **changed})

    assert answer.status_code == 400
    fields = answer.json()["error"]["fields"]
    assert fields[field][0].startswith(said)
    assert not Verification.objects.exists()


def test_a_verification_is_withdrawn_once_and_stays(officer):
    officer.post(ADDRESS, BODY)

    first, again = (
        officer.post(f"{ADDRESS}hill-001-v1/withdraw/", {"why": "Wrong device"}) for _ in range(2)
    )

    assert (first.status_code, first.json()["withdrawn_why"]) == (200, "Wrong device")
    assert again.status_code == 400
    assert officer.get(ADDRESS).json()["count"] == 1


@pytest.mark.parametrize(
    ("query", "count"),
    [("", 2), ("?outcome=fail", 1), ("?kind=paired", 0), ("?item=hill-001", 2),
     ("?site=ford", 0), ("?area=upper", 2)],
)  # fmt: skip
def test_the_list_is_narrowed_by_item_site_area_kind_and_outcome(officer, query, count):
    item = EquipmentItem.objects.get(code="hill-001")
    make_verification(item)
    make_verification(item, outcome="fail")
    make_verification(EquipmentItem.objects.get(code="coast-001"))

    assert officer.get(f"{ADDRESS}{query}").json()["count"] == count
