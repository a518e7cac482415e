"""Everything that goes wrong is said in one form: what is wrong, where, and what to do."""

import pytest
from django.contrib.auth import get_user_model
from django.core.exceptions import PermissionDenied, ValidationError
from rest_framework.test import APIClient

from apps.api.v1 import plans
from planner.engine.errors import EngineError, InputError
from tests.api.register import make_plan

PLAN = {"title": "Next year", "area": "north", "capital": "3000"}


def error(answer) -> dict:
    """The one key of the body; the form itself is part of each test's statement."""
    body = answer.json()
    assert list(body) == ["error"]
    assert list(body["error"]) == ["code", "message", "remedy", "fields"]
    return body["error"]


def test_a_field_that_is_wrong_is_named_with_what_is_wrong(api):
    answer = api.post("/api/v1/plans/", {**PLAN, "capital": "much"})

    assert answer.status_code == 400
    assert error(answer) == {
        "code": "invalid",
        "message": "capital: A valid number is required.",
        "remedy": "Correct the fields named and send the request again.",
        "fields": {"capital": ["A valid number is required."]},
    }


def test_all_fields_that_are_wrong_are_named_at_once_wherever_they_stand(api):
    answer = api.post("/api/v1/plans/", {"area": "north", "capital": -1, "floors": {"upper": 1.01}})

    said = error(answer)
    assert said["message"] == "3 fields are not acceptable: title, capital, floors.upper."
    assert said["fields"] == {
        "title": ["This field is required."],
        "capital": ["Ensure this value is greater than or equal to 0."],
        "floors.upper": ["Ensure this value is less than or equal to 1."],
    }


def test_a_misspelt_field_is_refused_and_not_taken_for_no_limit(api):
    answer = api.post("/api/v1/plans/", {**PLAN, "recurent": "100"})

    assert answer.status_code == 400
    [text] = error(answer)["fields"]["recurent"]
    assert text.startswith("There is no such field. There are: title, area, capital,")


@pytest.mark.parametrize("body", ["[]", "3", "null", '"text"'])
def test_a_body_that_is_no_object_is_refused(api, body):
    answer = api.post("/api/v1/plans/", body, content_type="application/json")

    assert answer.status_code == 400
    assert error(answer)["code"] == "invalid"
    assert list(error(answer)["fields"]) == ["request"]


@pytest.mark.parametrize(
    ("capital", "why"),
    [
        ("NaN", "NaN is not a number in JSON"),
        ("Infinity", "Infinity is not a number in JSON"),
        ("-Infinity", "-Infinity is not a number in JSON"),
        ("1e999", "1e999 is too large a number"),
        ('1, "capital": 2', "the key 'capital' stands twice in one object"),
    ],
)
def test_json_that_could_be_taken_for_something_else_is_refused(api, capital, why):
    body = f'{{"title": "x", "area": "north", "capital": {capital}}}'

    answer = api.post("/api/v1/plans/", body, content_type="application/json")

    assert answer.status_code == 400
    assert error(answer) == {
        "code": "malformed",
        "message": f"The body is not JSON that can be read: {why}.",
        "remedy": "Send one JSON document (RFC 8259) in UTF-8, with finite numbers.",
        "fields": {},
    }


def test_the_largest_finite_number_is_read_as_json_and_refused_as_money(api):
    body = '{"title": "x", "area": "north", "capital": 1e308}'

    answer = api.post("/api/v1/plans/", body, content_type="application/json")

    assert list(error(answer)["fields"]) == ["capital"]


@pytest.mark.parametrize(
    "body", [b"{", b"", b"\xff\xfe", b"[" * 200_000, b'{"title": "\xff"}'], ids=repr
)
def test_a_body_that_is_not_json_is_refused_in_the_same_form(api, body):
    answer = api.post("/api/v1/plans/", body, content_type="application/json")

    assert answer.status_code == 400
    assert error(answer)["code"] in ("malformed", "invalid")


def test_somebody_who_is_not_signed_in_is_told_how_to(db):
    answer = APIClient().get("/api/v1/sites/")

    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == "Token"
    assert error(answer) == {
        "code": "not_authenticated",
        "message": "Authentication credentials were not provided.",
        "remedy": "Send the header 'Authorization: Token …'; POST …/token/ gives a token.",
        "fields": {},
    }


def test_a_token_that_is_not_valid_is_401(db):
    answer = APIClient().get("/api/v1/sites/", HTTP_AUTHORIZATION="Token no-such-token")

    assert answer.status_code == 401
    assert error(answer)["code"] == "authentication_failed"


def test_the_token_of_somebody_who_was_switched_off_is_401(api, planner):
    get_user_model().objects.filter(pk=planner.pk).update(is_active=False)

    assert api.get("/api/v1/sites/").status_code == 401


def test_a_thing_of_another_district_is_not_found_and_not_forbidden(as_person, outsider):
    answer = as_person(outsider).get("/api/v1/sites/hill/")

    assert answer.status_code == 404
    assert error(answer) == {
        "code": "not_found",
        "message": "There is no site 'hill' that you may see.",
        "remedy": "Check the address, or ask for access to the area that it belongs to.",
        "fields": {},
    }


def test_a_thing_that_exists_elsewhere_and_one_that_does_not_get_the_same_answer(
    as_person, outsider, register, planner
):
    elsewhere = make_plan(register.north, planner).pk
    nowhere = elsewhere + 1
    client = as_person(outsider)

    answers = [client.get(f"/api/v1/plans/{key}/") for key in (elsewhere, nowhere)]

    assert [answer.status_code for answer in answers] == [404, 404]
    first, second = (error(answer)["message"] for answer in answers)
    assert first.replace(str(elsewhere), "…") == second.replace(str(nowhere), "…")


@pytest.mark.parametrize(
    "address",
    [
        "no-such-noun/",
        "sites",
        "sites/hill",
        "sites//",
        "plans/99999999999999999999999/",
        "",
        "%0A",
    ],
)
def test_an_address_that_leads_nowhere_is_404_in_the_same_form(api, address):
    answer = api.get(f"/api/v1/{address}")

    assert answer.status_code == 404
    assert error(answer)["code"] == "not_found"


def test_a_method_that_the_address_does_not_have_is_405_and_the_others_are_named(api):
    answer = api.delete("/api/v1/sites/")

    assert answer.status_code == 405
    assert answer["Allow"] == "GET, HEAD"
    assert error(answer)["code"] == "method_not_allowed"
    assert error(answer)["remedy"] == "Use one of the methods that the Allow header names."


def test_another_format_than_json_is_406(api):
    answer = api.get("/api/v1/sites/", HTTP_ACCEPT="text/html")

    assert answer.status_code == 406
    assert error(answer)["code"] == "not_acceptable"


def test_a_body_in_another_format_is_415(api):
    answer = api.post("/api/v1/plans/", "title=x", content_type="application/x-www-form-urlencoded")

    assert answer.status_code == 415
    assert error(answer)["code"] == "unsupported_media_type"


def test_a_body_that_is_too_large_is_413(api, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100

    answer = api.post("/api/v1/plans/", {**PLAN, "title": "x" * 101})

    assert answer.status_code == 413
    assert error(answer)["code"] == "too_large"


def test_what_the_engine_refuses_is_422_with_its_own_words(api, monkeypatch):
    def refuse(**_):
        raise EngineError("The district has no site.", remedy="Enter one.")

    monkeypatch.setattr(plans, "draft_plan", refuse)

    answer = api.post("/api/v1/plans/", PLAN)

    assert answer.status_code == 422
    assert error(answer) == {
        "code": "engine",
        "message": "The district has no site.",
        "remedy": "Enter one.",
        "fields": {},
    }


def test_every_mistake_in_a_case_is_named(api, monkeypatch):
    def refuse(**_):
        raise InputError("case", ["sites[3].demand: expected", "limits: expected"])

    monkeypatch.setattr(plans, "draft_plan", refuse)

    answer = api.post("/api/v1/plans/", PLAN)

    assert error(answer)["fields"] == {"case": ["sites[3].demand: expected", "limits: expected"]}


def test_what_a_service_refuses_is_400_at_the_field_it_names(api, monkeypatch):
    def refuse(**_):
        raise ValidationError({"capital": "There is nothing to spend."})

    monkeypatch.setattr(plans, "draft_plan", refuse)

    answer = api.post("/api/v1/plans/", PLAN)

    assert answer.status_code == 400
    assert error(answer)["fields"] == {"capital": ["There is nothing to spend."]}


def test_what_a_service_does_not_permit_is_403_with_its_own_words(api, monkeypatch):
    def refuse(**_):
        raise PermissionDenied("planner-north may not draft a plan.")

    monkeypatch.setattr(plans, "draft_plan", refuse)

    answer = api.post("/api/v1/plans/", PLAN)

    assert answer.status_code == 403
    assert error(answer) == {
        "code": "permission_denied",
        "message": "planner-north may not draft a plan.",
        "remedy": "Ask an administrator for a role that may do this.",
        "fields": {},
    }


def test_a_fault_of_the_service_is_500_in_the_same_form_logged_and_told_to_observers(
    api, monkeypatch, caplog
):
    def fail(**_):
        raise RuntimeError("the password is hunter2")

    monkeypatch.setattr(plans, "draft_plan", fail)
    api.raise_request_exception = False

    answer = api.post("/api/v1/plans/", PLAN)

    assert answer.status_code == 500
    assert error(answer) == {
        "code": "server_error",
        "message": "Something went wrong on our side.",
        "remedy": "Try again. If it stays so, tell an administrator the address and the time.",
        "fields": {},
    }
    assert "hunter2" not in answer.content.decode()
    assert "RuntimeError: the password is hunter2" in caplog.text
    api.raise_request_exception = True
    with pytest.raises(RuntimeError, match="hunter2"):
        api.post("/api/v1/plans/", PLAN)
