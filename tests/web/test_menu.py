"""The questions and what stands beside them, by role."""

import re

import pytest

from tests.api.register import make_person

REGISTER = [
    "Sites", "Equipment", "Due and stale", "Staff and skills", "What contradicts", "Write down",
    "What is asked for", "Travel times", "Workbooks and uploads",
    "Files for other programs",
]  # fmt: skip


def beside(client, path: str) -> list[str]:
    """The texts of the second row of the menu."""
    page = client.get(path).content.decode()
    found = re.search(r'<nav class="asides".*?</nav>', page, re.DOTALL)
    return re.findall(r"<a [^>]*>(.*?)</a>", found.group()) if found else []


@pytest.mark.parametrize(
    ("path", "texts"),
    [
        ("/sites/", REGISTER),
        ("/sites/hill/", REGISTER),
        ("/demand/", REGISTER),
        ("/equipment/", REGISTER),
        ("/staff/", REGISTER),
        ("/entry/sites/hill/", REGISTER),
        (
            "/coverage/",
            ["Sites and tests", "Tests and methods", "Device models", "Check a device"],
        ),
        (
            "/history/",
            ["Devices verified", "What was changed", "Versions of the catalogue", "Invitations"],
        ),
        ("/plans/", []),
        ("/account/", []),
    ],
)
def test_beside_a_question_stand_the_pages_that_help_with_it(pages, path, texts):
    assert beside(pages, path) == texts


def test_visitors_see_what_is_open_to_them(client, db):
    assert beside(client, "/devices/check/") == [
        "Tests and methods",
        "Device models",
        "Check a device",
    ]


@pytest.mark.parametrize(
    ("role", "texts"),
    [
        ("in_charge", ["Devices verified", "Versions of the catalogue"]),
        (
            "auditor",
            [
                "Devices verified",
                "What was changed",
                "Versions of the catalogue",
                "Who may sign in",
            ],
        ),
    ],
)
def test_nobody_is_offered_what_the_role_may_not_ask(browse, register, role, texts):
    assert beside(browse(make_person(role, register.north)), "/verification/") == texts


def test_an_auditor_is_not_offered_to_write_anything_down(browse, register):
    texts = beside(browse(make_person("auditor", register.north)), "/equipment/")

    assert texts == [
        text for text in REGISTER if text not in ("Write down", "Workbooks and uploads")
    ]


def test_the_page_that_one_is_on_is_marked(pages):
    page = pages.get("/history/").content.decode()

    assert re.findall(r'<a href="([^"]*)" aria-current="true">', page) == ["/history/"]
    assert re.findall(r'<a href="([^"]*)" aria-current="page">', page) == ["/verification/"]
