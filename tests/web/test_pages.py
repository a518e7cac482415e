"""What holds for every page: its frame, its markup, its policy, its weight."""

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.test import Client

import apps.web
from apps.coverage.models import Finding
from apps.facilities.models import Facility
from tests.api.register import make_plan
from tests.web.scene import make_assessment, make_blocked, make_line, make_run, make_test

WEB = Path(apps.web.__file__).parent
COLOUR = re.compile(r"#[0-9a-fA-F]{3,8}\b|\b(?:rgba?|hsla?|oklch|lab)\(")
INLINE = re.compile(r"\sstyle=|\son[a-z]+=|<style|<script(?![^>]*(?:\ssrc=|application/json))")
FIRST_VIEW_BYTES = 60_000

PAGES = [
    "/sites/", "/sites/hill/", "/coverage/", "/coverage/tests/haemoglobin/",
    "/plans/", "/plans/draft/", "/plans/{plan}/", "/plans/{plan}/runs/{run}/",
    "/deliveries/", "/verification/", "/verification/items/hill-001/", "/password/", "/nowhere/",
    "/methods/", "/methods/haemoglobin-photometry/", "/devices/", "/devices/cuvette-photometer/",
    "/devices/check/", "/devices/check/?speed_rpm=3000&radius_cm=16",
    "/devices/check/?radius_cm=160", "/devices/check/microscope/?magnification=100",
    "/devices/check/photometer/?wavelengths_nm=540",
]  # fmt: skip


@pytest.fixture
def keys(register, officer) -> dict[str, int]:
    make_blocked(make_assessment(register.north), register.hill)
    plan = make_plan(register.north, officer)
    run = make_run(plan, officer)
    make_line(run, register.ford)
    return {"plan": plan.pk, "run": run.pk}


@pytest.mark.parametrize("page", PAGES)
def test_every_page_has_one_heading_a_language_a_title_and_a_way_past_the_menu(pages, keys, page):
    html = pages.get(page.format(**keys)).content.decode()

    assert html.count("<h1") == 1
    assert '<html lang="en">' in html
    assert re.search(r"<title>[^<]+ · Benchward</title>", html)
    assert '<a class="skip" href="#content">' in html


@pytest.mark.parametrize("page", [*PAGES, "/sign-in/"])
def test_no_page_holds_an_inline_style_script_or_handler(pages, keys, page):
    client = Client() if page == "/sign-in/" else pages

    assert INLINE.findall(client.get(page.format(**keys)).content.decode()) == []


@pytest.mark.parametrize("page", PAGES)
def test_every_page_forbids_what_does_not_come_from_here(pages, keys, page):
    policy = pages.get(page.format(**keys))["Content-Security-Policy"]

    assert "default-src 'self'" in policy
    assert "unsafe" not in policy


@pytest.mark.parametrize("page", PAGES)
def test_every_file_that_a_page_asks_for_is_there(pages, keys, page):
    html = pages.get(page.format(**keys)).content.decode()

    asked = re.findall(r'(?:href|src)="/static/([^"]+)"', html)
    assert asked != []
    assert [name for name in asked if finders.find(name) is None] == []


@pytest.mark.parametrize(
    ("page", "question"),
    [
        ("/sites/hill/", "What is there?"),
        ("/coverage/", "What can each site do?"),
        ("/methods/haemoglobin-photometry/", "What can each site do?"),
        ("/devices/", "What can each site do?"),
        ("/devices/check/", "What can each site do?"),
        ("/plans/draft/", "What should we buy?"),
        ("/deliveries/", "What arrived?"),
        ("/verification/", "Can we trust it?"),
    ],
)
def test_the_question_that_a_page_belongs_to_is_marked(pages, keys, page, question):
    html = pages.get(page).content.decode()

    assert re.findall(r'aria-current="page">([^<]+)</a>', html) == [question]


def test_what_is_not_built_says_so_and_what_to_do_meanwhile(pages):
    page = pages.get("/deliveries/").content.decode()

    assert "not built yet" in page.lower()
    assert 'href="/plans/"' in page


def test_only_the_tokens_state_a_literal_colour():
    sheets = [
        sheet for sheet in (WEB / "static" / "web").rglob("*.css") if sheet.name != "tokens.css"
    ]

    assert {sheet.name: COLOUR.findall(sheet.read_text()) for sheet in sheets} == {
        sheet.name: [] for sheet in sheets
    }


def test_every_custom_property_that_is_used_is_a_token():
    tokens = set(re.findall(r"(--[a-z0-9-]+):", (WEB / "static/web/tokens.css").read_text()))
    used = {
        name
        for sheet in (WEB / "static" / "web").rglob("*.css")
        for name in re.findall(r"var\((--[a-z0-9-]+)", sheet.read_text())
    }

    assert used - tokens == set()


@pytest.mark.parametrize(
    ("template", "words"),
    [
        ("400.html", "The request could not be read"),
        ("500.html", "Something went wrong on our side"),
    ],
)
def test_error_pages_need_neither_a_request_nor_a_database(template, words):
    page = render_to_string(template)

    assert words in page
    assert "<h1>" in page


def test_a_form_without_its_token_is_refused_in_the_look_of_the_service(officer):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(officer)

    answer = strict.post("/plans/draft/", {})

    assert answer.status_code == 403
    assert "The form had expired" in answer.content.decode()


def test_the_grid_of_sixty_sites_and_sixty_seven_tests_stays_light(pages, register):
    assessment = make_assessment(register.north)
    tests = [
        make_test(f"test-{number:02}", name=f"Some test number {number}") for number in range(67)
    ]
    sites = Facility.objects.bulk_create(
        Facility(
            code=f"site-{n:02}",
            name=f"Site {n}",
            area=register.upper,
            level=2,
            latitude=1,
            longitude=30,
        )
        for n in range(60)
    )
    states = ["runs", "referred", "blocked", "unknown", "not_expected"]
    Finding.objects.bulk_create(
        Finding(assessment=assessment, facility=site, test=test, state=states[(s * 7 + t * 3) % 5])
        for s, site in enumerate(sites)
        for t, test in enumerate(tests)
    )

    html = pages.get("/coverage/").content

    files = [finders.find(name) for name in re.findall(r'="/static/([^"]+)"', html.decode())]
    sent = [html, *(Path(name).read_bytes() for name in files)]
    assert html.count(b"<td class=") == 62 * 68 + 1
    assert sum(len(gzip.compress(body)) for body in sent) < FIRST_VIEW_BYTES
