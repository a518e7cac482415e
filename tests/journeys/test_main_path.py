"""The main job from end to end, as a district health officer does it."""

import json

import pytest
from playwright.sync_api import Page, expect

from apps.plans.models import Run
from apps.plans.services import compute_run
from tests.api.register import make_person, make_register

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def officer():
    return make_person("health_officer", make_register().north)


@pytest.fixture(autouse=True)
def _tasks_wait(settings):
    """A started run stays in the queue until the test computes it, as a worker would."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}


def sign_in(page: Page, address: str, name: str) -> None:
    page.goto(address)
    page.get_by_label("Username").fill(name)
    page.get_by_label("Password").fill("correct horse")
    page.get_by_role("button", name="Sign in").click()
    # The click returns before the next page is there, and a key pressed now would be lost.
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    page.wait_for_load_state()


def test_an_officer_signs_in_looks_round_plans_and_takes_the_files_home(
    live_server, page: Page, officer, inspect
):
    page.goto(live_server.url)
    inspect(page)
    sign_in(page, live_server.url, officer.username)

    expect(page.get_by_role("heading", level=1)).to_have_text("What is there?")
    inspect(page)

    page.get_by_role("link", name="What can each site do?").click()
    page.get_by_role("button", name="Work it out now").click()
    expect(page.get_by_role("link", name="Can run it")).to_have_count(1)
    inspect(page)

    page.get_by_role("link", name="By referral").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ford")
    expect(page.locator("tr", has=page.locator("#test-haemoglobin"))).to_contain_text("Hill")
    inspect(page)

    page.get_by_role("link", name="What should we buy?").click()
    inspect(page)
    page.get_by_role("link", name="Draft the first plan").click()
    inspect(page)
    page.get_by_label("What is the plan called?").fill("Next year")
    page.get_by_label("How much money is there?").fill("3 thousand")
    page.get_by_role("button", name="Save the draft").click()
    expect(page.get_by_label("How much money is there?")).to_have_value("3 thousand")
    inspect(page)
    page.get_by_label("How much money is there?").fill("3,000")
    page.get_by_role("button", name="Save the draft").click()

    expect(page.get_by_role("heading", level=1)).to_have_text("Next year")
    inspect(page)
    page.get_by_role("button", name="Compute the plan").click()
    expect(page.get_by_role("heading", name="Waiting for the worker")).to_be_visible()
    inspect(page)

    page.get_by_role("link", name="What should we buy?").first.click()
    run = Run.objects.get()
    compute_run(run.pk)
    page.get_by_role("link", name="Next year").click()

    expect(page.get_by_role("heading", name="What to do, site by site")).to_be_visible()
    expect(page.locator(".chart-canvas svg.main-svg").first).to_be_visible()
    inspect(page)

    def taken(link: str) -> bytes:
        with page.expect_download() as download:
            page.get_by_role("link", name=link).click()
        return download.value.path().read_bytes()

    assert taken("Actions, CSV").decode("utf-8-sig").startswith("facility")
    assert taken("Actions, spreadsheet")[:2] == b"PK"
    result = json.loads(taken("Result, JSON"))
    case = json.loads(taken("Case it was computed from, JSON"))
    assert (result["format"], result["status"]) == ("benchward-result", "optimal")
    assert [site["code"] for site in case["sites"]] == ["ford", "hill"]
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
