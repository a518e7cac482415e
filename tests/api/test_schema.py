"""The OpenAPI document says what the API does: no more, no less."""

import copy
import re
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.urls import URLPattern
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012
from rest_framework.test import APIClient

from apps.api.urls import urlpatterns
from apps.coverage.services import refresh_coverage
from apps.imports.services import read_upload
from tests.api.register import make_plan
from tests.apps.imports.uploading import filled, given_out, put
from tests.factories.facilities import make_travel_time

UNDOCUMENTED = {"schema", "docs", "unknown"}
METHODS = ("get", "post", "put", "patch", "delete")
OPERATIONS = {
    "obtain_token",
    "revoke_token",
    "list_areas",
    "get_register",
    "get_places",
    "get_bundle",
    "get_table",
    "list_sites",
    "get_site",
    "list_equipment_items",
    "get_equipment_item",
    "change_equipment_item",
    "get_site_facts",
    "change_site_facts",
    "list_verifications",
    "record_verification",
    "get_verification",
    "withdraw_verification",
    "list_programmes",
    "list_tests",
    "list_methods",
    "get_method",
    "list_spin_procedures",
    "list_device_models",
    "get_device_model",
    "list_coverage",
    "list_travel_times",
    "list_uploads",
    "send_upload",
    "get_upload",
    "list_proposals",
    "apply_upload",
    "undo_upload",
    "cancel_upload",
    "get_test_reach",
    "list_demand_estimates",
    "list_workloads",
    "list_plans",
    "draft_plan",
    "get_plan",
    "list_runs",
    "start_run",
    "get_run",
    "get_result",
    "get_case",
    "list_lines",
    "cancel_run",
}


@pytest.fixture
def schema(db) -> dict[str, Any]:
    answer = APIClient().get("/api/v1/schema/", HTTP_ACCEPT="application/json")
    assert answer.status_code == 200
    return answer.json()


def operations(schema: dict[str, Any]) -> dict[str, tuple[str, str, dict[str, Any]]]:
    """Operation id -> path, method and what the document says of it."""
    return {
        item[method]["operationId"]: (path, method, item[method])
        for path, item in schema["paths"].items()
        for method in METHODS
        if method in item
    }


def closed(part: Any) -> Any:
    """The document made strict: an object has the properties it names and no others."""
    if isinstance(part, list):
        return [closed(each) for each in part]
    if not isinstance(part, dict):
        return part
    strict = {key: closed(value) for key, value in part.items()}
    if "properties" in strict and strict.get("type") == "object":
        strict.setdefault("additionalProperties", False)
    return strict


def mistakes(schema: dict[str, Any], operation: str, answer: Any) -> list[str]:
    """What in a JSON answer is not as the document says of that operation and status."""
    path, method, _ = operations(schema)[operation]
    base = ["paths", path, method, "responses", str(answer.status_code)]
    said = schema["paths"][path][method]["responses"].get(str(answer.status_code))
    if said is None:
        return [f"{operation} does not declare status {answer.status_code}"]
    if "$ref" in said:
        base = said["$ref"].removeprefix("#/").split("/")
    pointer = "/".join(
        step.replace("~", "~0").replace("/", "~1")
        for step in [*base, "content", "application/json", "schema"]
    )
    resource = Resource(contents=closed(copy.deepcopy(schema)), specification=DRAFT202012)
    registry = Registry().with_resource("urn:api", resource)
    validator = Draft202012Validator({"$ref": f"urn:api#/{pointer}"}, registry=registry)
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(answer.json())]


def test_the_document_is_valid_openapi_and_nothing_in_it_was_guessed(db):
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", "/dev/null")


def test_every_address_of_the_api_stands_in_the_document(schema):
    def as_documented(pattern: URLPattern) -> str:
        return "/api/v1/" + re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", str(pattern.pattern))

    served = {as_documented(p) for p in urlpatterns if p.name not in UNDOCUMENTED}

    assert set(schema["paths"]) == served


def test_operations_have_names_that_read_like_what_they_do(schema):
    assert set(operations(schema)) == OPERATIONS


def test_every_operation_says_in_words_what_it_does(schema):
    silent = [name for name, (_, _, said) in operations(schema).items() if not said["description"]]

    assert silent == []


def test_every_parameter_of_a_query_says_what_it_is_for(schema):
    silent = [
        (name, parameter["name"])
        for name, (_, _, said) in operations(schema).items()
        for parameter in said.get("parameters", [])
        if parameter["in"] != "path" and not parameter.get("description")
    ]

    assert silent == []


def test_every_operation_declares_the_answers_to_mistakes_in_one_form(schema):
    always = {"400", "401", "403", "404", "405", "406", "429", "500"}
    lacking = {
        name: sorted(always - set(said["responses"]))
        for name, (_, _, said) in operations(schema).items()
    }

    assert {name: statuses for name, statuses in lacking.items() if statuses} == {}
    forms = {
        response["content"]["application/json"]["schema"]["$ref"]
        for response in schema["components"]["responses"].values()
    }
    assert forms == {"#/components/schemas/Problem"}


def test_only_the_token_can_be_asked_for_without_being_signed_in(schema):
    open_to_all = {
        name for name, (_, _, said) in operations(schema).items() if {} in said["security"]
    }

    assert open_to_all == {"obtain_token"}


@pytest.mark.parametrize(
    ("operation", "address"),
    [
        ("list_areas", "areas/"),
        ("list_sites", "sites/"),
        ("get_site", "sites/hill/"),
        ("list_equipment_items", "equipment-items/"),
        ("list_programmes", "programmes/"),
        ("list_tests", "tests/"),
        ("list_methods", "methods/"),
        ("list_device_models", "device-models/"),
        ("list_spin_procedures", "spin-procedures/"),
        ("get_method", "methods/haemoglobin-photometry/"),
        ("get_device_model", "device-models/cuvette-photometer/"),
    ],
)
def test_what_the_register_answers_is_as_the_document_says(api, schema, operation, address):
    answer = api.get(f"/api/v1/{address}")

    assert answer.status_code == 200
    assert answer.json().get("results", True), "an empty list proves nothing"
    assert mistakes(schema, operation, answer) == []


def test_what_coverage_answers_is_as_the_document_says(api, schema, register, planner):
    refresh_coverage(area=register.north, by=planner)

    answer = api.get("/api/v1/coverage/")

    assert answer.json()["count"] == 2
    assert mistakes(schema, "list_coverage", answer) == []


def test_what_reach_answers_is_as_the_document_says(api, schema, register, planner):
    refresh_coverage(area=register.north, by=planner)
    make_travel_time(register.ford, register.hill)

    times = api.get("/api/v1/travel-times/")
    reach = api.get("/api/v1/tests/haemoglobin/reach/?area=north&mode=walk")

    assert (times.json()["count"], reach.status_code) == (1, 200)
    assert mistakes(schema, "list_travel_times", times) == []
    assert mistakes(schema, "get_test_reach", reach) == []


def test_what_planning_answers_is_as_the_document_says(
    api, schema, django_capture_on_commit_callbacks
):
    body = {"title": "x", "area": "north", "capital": 3000, "earmarks": {"maternal": 100}}
    drafted = api.post("/api/v1/plans/", {**body, "floors": {"upper": 0.1}})
    with django_capture_on_commit_callbacks(execute=True):
        started = api.post(f"{drafted['Location']}runs/")
    run = started["Location"]
    answers = {
        "draft_plan": drafted,
        "start_run": started,
        "list_plans": api.get("/api/v1/plans/"),
        "get_plan": api.get(drafted["Location"]),
        "list_runs": api.get(f"{drafted['Location']}runs/"),
        "get_run": api.get(run),
        "list_lines": api.get(f"{run}lines/"),
        "get_result": api.get(f"{run}result/"),
        "get_case": api.get(f"{run}case/"),
        "cancel_run": api.post(f"{api.post(drafted['Location'] + 'runs/')['Location']}cancel/"),
    }

    assert answers["get_run"].json()["state"] == "done"
    assert {name: mistakes(schema, name, answer) for name, answer in answers.items()} == {
        name: [] for name in answers
    }


def test_what_uploads_answer_is_as_the_document_says(api, schema, register, planner):
    content = filled(
        given_out(register.north, planner),
        put("Facilities", "hill", "People in the catchment", 13_000),
        put("Facilities", "ford", "People in the catchment", "many"),
    )
    body = {"file": ContentFile(content, "north.xlsx"), "area": "north"}
    sent = api.post("/api/v1/uploads/", body, format="multipart")
    address, upload_id = sent["Location"], sent.json()["id"]
    read_upload(upload_id)
    answers = {
        "send_upload": sent,
        "list_uploads": api.get("/api/v1/uploads/"),
        "get_upload": api.get(address),
        "list_proposals": api.get(f"{address}rows/facilities.csv/changed/"),
        "apply_upload": api.post(f"{address}apply/", {}),
        "cancel_upload": api.post(f"{address}cancel/"),
        "undo_upload": api.post(f"{address}undo/"),
    }
    refused = api.get(f"{address}rows/facilities.csv/refused/")

    assert [answers[name].status_code for name in ("cancel_upload", "undo_upload")] == [409, 409]
    assert mistakes(schema, "list_proposals", refused) == []
    assert {name: mistakes(schema, name, answer) for name, answer in answers.items()} == {
        name: [] for name in answers
    }


def test_what_signing_in_answers_is_as_the_document_says(schema, planner):
    body = {"username": planner.username, "password": "correct horse"}

    answer = APIClient().post("/api/v1/token/", body)

    assert mistakes(schema, "obtain_token", answer) == []


def test_an_answer_that_is_not_as_the_document_says_would_be_seen(api, schema):
    answer = api.get("/api/v1/areas/")

    assert mistakes(schema, "list_sites", answer) != []


NASTY = ["", "0", "-1", "1e9", "9" * 30, "\x00", "é", "a,b", "-", "' or 1=1 --", "../..", "null"]


def test_no_value_of_any_parameter_breaks_a_list_or_gives_an_undeclared_answer(
    api, schema, register, planner
):
    plan = make_plan(register.north, planner)
    api.raise_request_exception = False
    surprises = []
    for name, (path, method, said) in operations(schema).items():
        if method != "get" or "{run_id}" in path or "{upload_id}" in path:
            continue
        cache.clear()  # limits are another test's subject
        address = path.format(code="hill", plan_id=plan.pk, table="equipment")
        for parameter in said.get("parameters", []):
            if parameter["in"] != "query":
                continue
            for value in NASTY:
                answer = api.get(address, {parameter["name"]: value})
                if answer.status_code >= 500 or mistakes(schema, name, answer):
                    surprises.append((name, parameter["name"], value, answer.status_code))

    assert surprises == []


@pytest.mark.parametrize(
    ("operation", "method", "address", "body", "status"),
    [
        ("draft_plan", "post", "plans/", {}, 400),
        ("list_sites", "get", "sites/?levle=2", None, 400),
        ("get_site", "get", "sites/nowhere/", None, 404),
        ("get_test_reach", "get", "tests/haemoglobin/reach/?area=south", None, 400),
        ("get_method", "get", "methods/none/", None, 404),
        ("get_device_model", "get", "device-models/none/", None, 404),
        ("get_run", "get", "runs/1/", None, 404),
        ("revoke_token", "get", "token/", None, 405),
    ],
)
def test_what_is_said_of_a_mistake_is_as_the_document_says(
    api, schema, operation, method, address, body, status
):
    answer = getattr(api, method)(f"/api/v1/{address}", body)

    assert answer.status_code == status
    assert mistakes(schema, operation, answer) == []


def test_the_page_that_shows_the_document_has_nothing_inline_and_asks_no_other_host(db):
    client = APIClient()

    page = client.get("/api/v1/docs/")
    script = client.get("/api/v1/docs/?script=")

    html = page.content.decode()
    assert page.status_code == 200
    assert "<style" not in html
    assert re.findall(r"<script(?![^>]*\bsrc=)[^>]*>", html) == []
    assert re.findall(r"\bon\w+=", html) == []
    addresses = re.findall(r'(?:src|href)="([^"]+)"', html)
    assert [address for address in addresses if not address.startswith("/")] == []
    assert len(addresses) == 6
    assert script["Content-Type"] == "application/javascript"
    assert b"/api/v1/schema/" in script.content
    assert "default-src 'self'" in page["Content-Security-Policy"]
