"""Request ids and log lines."""

import json
import logging
import re

import pytest

from planner.operations.logs import JsonLines
from planner.operations.requests import request_id


@pytest.fixture
def line():
    """What a log call becomes, as the object that a collector of logs reads."""

    def written(message, *values, level=logging.INFO, **more):
        record = logging.LogRecord("apps.plans", level, __file__, 1, message, values, None)
        record.__dict__.update(more)
        text = JsonLines().format(record)
        assert "\n" not in text
        return json.loads(text)

    return written


def test_an_answer_carries_an_id_of_its_own(client, db):
    first, second = (client.get("/healthz").headers["X-Request-ID"] for _ in range(2))

    assert re.fullmatch(r"[0-9a-f]{16}", first)
    assert first != second


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("7f3a9c2e-proxy.1", True),
        ("short", False),
        ("x" * 65, False),
        ("with space 12", False),
        ("<script>alert", False),
    ],
)
def test_an_id_from_a_proxy_is_kept_if_it_is_well_formed(client, db, given, kept):
    answer = client.get("/healthz", headers={"X-Request-ID": given})

    assert (answer.headers["X-Request-ID"] == given) is kept


def test_a_line_is_one_object_with_time_level_logger_and_message(line):
    written = line("run %s is %s", 7, "done", run=7)

    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}\+00:00", written.pop("at"))
    assert written == {
        "level": "info",
        "logger": "apps.plans",
        "message": "run 7 is done",
        "run": 7,
    }


def test_a_line_of_a_request_carries_its_id(line):
    token = request_id.set("7f3a9c2e00000000")
    try:
        assert line("asked")["request_id"] == "7f3a9c2e00000000"
    finally:
        request_id.reset(token)
    assert "request_id" not in line("asked")


def test_the_id_is_gone_after_the_request(client, db):
    client.get("/healthz")

    assert request_id.get() == ""


def test_what_is_not_meant_to_be_shown_stays_out(line):
    assert "password" not in line("signed in", password="secret", user="ada")


def test_line_breaks_in_a_message_stay_in_one_line(line):
    assert line("first\nsecond")["message"] == "first\nsecond"


def test_an_error_has_its_trace():
    try:
        raise ZeroDivisionError("by hand")
    except ZeroDivisionError as error:
        record = logging.LogRecord(
            "apps",
            logging.ERROR,
            __file__,
            1,
            "failed",
            (),
            (type(error), error, error.__traceback__),
        )

    assert "ZeroDivisionError: by hand" in json.loads(JsonLines().format(record))["trace"]
