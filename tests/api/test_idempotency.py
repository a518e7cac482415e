"""A POST that is sent again with its key does its work once."""

from datetime import timedelta

import pytest
from django.core.cache import cache

from apps.api.v1 import plans
from apps.plans.models import Plan, Run
from tests.api.register import make_plan

PLAN = {"title": "Next year", "area": "north", "capital": "3000"}


def draft(client, key: str, **changes: object):
    return client.post("/api/v1/plans/", {**PLAN, **changes}, headers={"Idempotency-Key": key})


def test_the_same_key_gives_the_first_answer_and_one_plan(api):
    first = draft(api, "key-1")
    again = draft(api, "key-1")

    assert (first.status_code, again.status_code) == (201, 201)
    assert again.json() == first.json()
    assert again["Location"] == first["Location"]
    assert "Idempotency-Replayed" not in first
    assert again["Idempotency-Replayed"] == "true"
    assert Plan.objects.count() == 1


def test_the_order_of_keys_in_the_body_does_not_make_it_another_request(api):
    first = draft(api, "key-1")
    again = api.post(
        "/api/v1/plans/", dict(reversed(PLAN.items())), headers={"Idempotency-Key": "key-1"}
    )

    assert again.json() == first.json()


def test_another_key_is_another_plan_and_no_key_is_always_another(api):
    for key in ("key-1", "key-2"):
        draft(api, key)
    for _ in range(2):
        api.post("/api/v1/plans/", PLAN)

    assert Plan.objects.count() == 4


def test_a_key_with_another_body_is_refused(api):
    draft(api, "key-1")

    answer = draft(api, "key-1", capital="3001")

    assert answer.status_code == 422
    assert answer.json()["error"]["code"] == "key_reused"
    assert Plan.objects.count() == 1


def test_the_key_of_one_person_is_not_that_of_another(api, as_person, outsider):
    draft(api, "key-1")

    answer = draft(as_person(outsider), "key-1", area="south")

    assert answer.status_code == 201
    assert Plan.objects.count() == 2


def test_a_request_that_failed_may_be_sent_again_with_its_key(api):
    refused = draft(api, "key-1", capital="-1")
    mended = draft(api, "key-1")

    assert (refused.status_code, mended.status_code) == (400, 201)


def test_a_second_request_while_the_first_is_at_work_is_told_so(api, monkeypatch):
    inner = []

    def draft_slowly(**values):
        monkeypatch.undo()
        inner.append(draft(api, "key-1"))
        return original(**values)

    original = plans.draft_plan
    monkeypatch.setattr(plans, "draft_plan", draft_slowly)

    outer = draft(api, "key-1")

    assert outer.status_code == 201
    assert [answer.status_code for answer in inner] == [409]
    assert inner[0].json()["error"]["code"] == "at_work"


def test_a_run_is_started_once(api, register, planner):
    plan = make_plan(register.north, planner)
    address = f"/api/v1/plans/{plan.pk}/runs/"

    first, again = (api.post(address, headers={"Idempotency-Key": "go"}) for _ in range(2))

    assert (first.status_code, again.status_code) == (202, 202)
    assert again.json() == first.json()
    assert Run.objects.count() == 1


def test_one_key_may_serve_for_two_plans(api, register, planner):
    made = [make_plan(register.north, planner, title=title) for title in ("One", "Two")]

    for plan in made:
        api.post(f"/api/v1/plans/{plan.pk}/runs/", headers={"Idempotency-Key": "go"})

    assert {run.plan for run in Run.objects.all()} == set(made)


def test_an_answer_is_kept_for_a_day_and_the_mark_of_a_request_at_work_for_a_minute(
    api, monkeypatch
):
    kept = []

    def keep(key, value, seconds):
        kept.extend([timedelta(seconds=seconds)] if key.startswith("idempotency-") else [])
        return True

    for name in ("add", "set"):
        monkeypatch.setattr(cache, name, keep)

    draft(api, "key-1")

    assert kept == [timedelta(minutes=1), timedelta(hours=24)]


@pytest.mark.parametrize("key", ["", "x" * 256, "two words", "clé"])
def test_a_key_that_is_not_1_to_255_visible_ascii_characters_is_refused(api, key):
    answer = draft(api, key)

    assert answer.status_code == 400
    assert answer.json()["error"]["fields"] == {
        "Idempotency-Key": ["Expected 1 to 255 visible ASCII characters."]
    }


def test_a_key_of_255_characters_is_taken(api):
    assert draft(api, "x" * 255).status_code == 201
