"""A program signs in with a token, a page with its session; both are guarded."""

import pytest
from django.test import Client
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient
from rest_framework.throttling import SimpleRateThrottle

from tests.api.register import make_plan

RIGHT = {"username": "planner-north", "password": "correct horse"}
WRONG = {**RIGHT, "password": "wrong horse"}


@pytest.fixture
def limits(monkeypatch):
    """Set the rate of one scope for a test."""

    def limit(scope: str, rate: str) -> None:
        monkeypatch.setitem(SimpleRateThrottle.THROTTLE_RATES, scope, rate)

    return limit


def test_name_and_password_give_a_token_that_opens_the_api(planner):
    client = APIClient()

    answer = client.post("/api/v1/token/", RIGHT)

    assert answer.status_code == 200
    token = Token.objects.get(user=planner).key
    assert answer.json() == {"token": token, "username": "planner-north", "role": "planner"}
    client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
    assert client.get("/api/v1/sites/").status_code == 200


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(planner):
    answers = [
        APIClient().post("/api/v1/token/", body)
        for body in (WRONG, {**RIGHT, "username": "nobody"})
    ]

    assert [answer.status_code for answer in answers] == [401, 401]
    assert answers[0].content == answers[1].content


def test_somebody_who_was_switched_off_gets_no_token(planner):
    planner.is_active = False
    planner.save()

    assert APIClient().post("/api/v1/token/", RIGHT).status_code == 401


def test_a_password_is_taken_as_it_is_with_its_blanks(planner):
    planner.set_password(" correct horse ")
    planner.save()

    answer = APIClient().post("/api/v1/token/", {**RIGHT, "password": " correct horse "})

    assert answer.status_code == 200


def test_a_revoked_token_opens_nothing_and_the_next_one_is_another(api, planner):
    first = Token.objects.get(user=planner).key

    assert api.delete("/api/v1/token/").status_code == 204

    assert api.get("/api/v1/sites/").status_code == 401
    second = APIClient().post("/api/v1/token/", RIGHT).json()["token"]
    assert second != first


def test_a_session_is_no_way_to_a_token(planner):
    client = Client()
    client.force_login(planner)

    assert client.post("/api/v1/token/", {}, "application/json").status_code == 400
    assert client.delete("/api/v1/token/").status_code == 401


def test_an_address_may_try_so_often_and_then_is_told_how_long_to_wait(planner, limits):
    limits("sign_in_address", "3/min")
    client = APIClient()

    statuses = [client.post("/api/v1/token/", WRONG).status_code for _ in range(3)]
    refused = client.post("/api/v1/token/", RIGHT)

    assert statuses == [401, 401, 401]
    assert refused.status_code == 429
    assert 1 <= int(refused["Retry-After"]) <= 60
    assert refused.json()["error"]["code"] == "throttled"


def test_a_name_may_be_tried_so_often_from_whatever_addresses(planner, limits):
    limits("sign_in_name", "3/hour")
    client = APIClient()

    statuses = [
        client.post(
            "/api/v1/token/",
            {**WRONG, "username": RIGHT["username"].upper()},
            REMOTE_ADDR=f"192.0.2.{host}",
        ).status_code
        for host in range(4)
    ]

    assert statuses == [401, 401, 401, 429]


def test_an_address_that_a_visitor_writes_into_a_header_does_not_count(planner, limits):
    limits("sign_in_address", "1/min")
    client = APIClient()

    statuses = [
        client.post("/api/v1/token/", WRONG, HTTP_X_FORWARDED_FOR=f"192.0.2.{host}").status_code
        for host in range(2)
    ]

    assert statuses == [401, 429]


def test_a_session_reads_without_and_writes_only_with_the_csrf_token(planner, register):
    plan = make_plan(register.north, planner)
    client = Client(enforce_csrf_checks=True)
    client.force_login(planner)
    address = f"/api/v1/plans/{plan.pk}/runs/"

    assert client.get(address).status_code == 200
    refused = client.post(address, content_type="application/json")
    client.cookies["csrftoken"] = "a" * 32
    accepted = client.post(
        address, content_type="application/json", headers={"X-CSRFToken": "a" * 32}
    )

    assert refused.status_code == 403
    assert refused.json()["error"]["code"] == "csrf_failed"
    assert refused.json()["error"]["remedy"] == (
        "Send the value of the csrftoken cookie in the header X-CSRFToken."
    )
    assert accepted.status_code == 202


def test_a_token_needs_no_csrf_token(planner, register):
    plan = make_plan(register.north, planner)
    client = APIClient(enforce_csrf_checks=True)
    client.credentials(HTTP_AUTHORIZATION=f"Token {Token.objects.create(user=planner).key}")

    assert client.post(f"/api/v1/plans/{plan.pk}/runs/").status_code == 202
