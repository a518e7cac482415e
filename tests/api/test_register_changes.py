"""Changing the register over the API: only what was read, by whoever may, each entry once."""

import pytest

from apps.audit.models import Entry
from apps.facilities.models import Facility, Observation
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person

SITE = "/api/v1/sites/hill/facts/"
ITEM = "/api/v1/equipment-items/hill-001/"
SEEN = {"observed_on": "2026-06-01"}


def patch(api, path: str, body: dict, etag: str | None = None, **headers: str):
    if etag is None:
        etag = api.get(path)["ETag"]
    named = {"If-Match": etag, **headers}
    return api.patch(path, body | SEEN, format="json", headers=named)


def test_a_change_of_what_was_read_is_made_and_answered_with_the_new_etag(api, planner):
    before = api.get(SITE)["ETag"]

    answer = patch(api, SITE, {"population": 13_000, "water_source": "well", "why": "census"})

    assert (answer.status_code, answer.json()["population"]) == (200, 13_000)
    assert answer["ETag"] == api.get(SITE)["ETag"] != before
    assert Entry.objects.get(action="site.changed").why == "census"


def test_the_second_of_two_gets_both_values_and_nothing_is_written(api):
    shown = api.get(SITE)["ETag"]
    patch(api, SITE, {"population": 13_000}, shown)

    answer = patch(api, SITE, {"population": 14_000}, shown)

    error = answer.json()["error"]
    assert (answer.status_code, error["code"]) == (412, "changed_meanwhile")
    assert error["fields"] == {"population": ["It says 13000, you sent 14000."]}
    assert Facility.objects.get(code="hill").population == 13_000


def test_a_change_that_does_not_say_what_was_read_is_refused(api):
    answer = api.patch(SITE, {"population": 1} | SEEN, format="json")

    assert (answer.status_code, answer.json()["error"]["code"]) == (428, "precondition_required")
    assert Facility.objects.get(code="hill").population == 12_000


def test_an_entry_that_is_sent_again_later_is_not_done_again(api):
    shown = api.get(SITE)["ETag"]
    key = {"Idempotency-Key": "one"}

    first = patch(api, SITE, {"population": 13_000}, shown, **key)
    again = patch(api, SITE, {"population": 13_000}, shown, **key)

    assert (first.status_code, again.status_code) == (200, 200)
    assert again["Idempotency-Replayed"] == "true"
    assert Observation.objects.count() == 1


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"populaton": 1}, "populaton"),
        ({"population": -1}, "population"),
        ({"power_hours_per_day": 25}, "power_hours_per_day"),
        ({"observer": "somebody"}, "observer"),
    ],
)
def test_what_cannot_be_is_refused_by_name(api, body, field):
    answer = patch(api, SITE, body)

    assert answer.status_code == 400
    assert list(answer.json()["error"]["fields"]) == [field]


def test_a_change_says_on_which_day_it_was_seen(api):
    answer = api.patch(SITE, {"population": 1}, format="json", headers={"If-Match": "*"})

    assert answer.status_code == 400
    assert list(answer.json()["error"]["fields"]) == ["observed_on"]


def test_the_file_of_a_device_is_read_and_changed(api):
    answer = patch(api, ITEM, {"manufacturer": "A maker", "purchase_cost": "12.5"})

    assert answer.status_code == 200
    item = EquipmentItem.objects.get(code="hill-001")
    assert (item.manufacturer, float(item.purchase_cost)) == ("A maker", 12.5)
    assert api.get(ITEM).json()["manufacturer"] == "A maker"


def test_a_rule_of_the_register_is_told_by_field(api):
    answer = patch(api, ITEM, {"reason": "no_power"})

    assert answer.status_code == 400
    assert list(answer.json()["error"]["fields"]) == ["reason"]


def test_a_site_shows_its_staff_and_shelf(api):
    body = api.get("/api/v1/sites/hill/").json()

    assert (body["staff"], body["stock"], body["skills"][0]["last_supervised_on"]) == ([], [], None)


@pytest.mark.parametrize(("role", "district", "status"), [
    ("auditor", "north", 403), ("planner", "south", 404),
])  # fmt: skip
def test_nobody_changes_what_is_not_theirs(as_person, register, role, district, status):
    person = make_person(role, getattr(register, district))

    answer = as_person(person).patch(
        SITE, {"population": 1} | SEEN, format="json", headers={"If-Match": "*"}
    )

    assert answer.status_code == status
    assert Facility.objects.get(code="hill").population == 12_000
