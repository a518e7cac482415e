"""A page that is open while a run goes on, and the grid under the keys."""

import pytest
from playwright.sync_api import Page, expect

from apps.plans.models import Run
from tests.api.register import make_person, make_plan, make_register
from tests.journeys.test_main_path import sign_in
from tests.web.scene import make_assessment, make_finding, make_run, make_test

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def register():
    return make_register()


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def test_an_open_page_follows_the_run_to_its_end(live_server, page: Page, register, officer):
    plan = make_plan(register.north, officer)
    run = make_run(plan, officer, "running", phase="reading the case")
    sign_in(page, f"{live_server.url}/plans/{plan.pk}/", officer.username)
    expect(page.get_by_role("heading", name="Computing: reading the case")).to_be_visible()

    Run.objects.filter(pk=run.pk).update(phase="search", objective=900, bound=1000, gap=0.1111)
    expect(page.get_by_role("heading", name="Computing: search")).to_be_visible()
    expect(page.get_by_text("11.2\N{NO-BREAK SPACE}%")).to_be_visible()
    expect(page.locator("[role=status][data-follow-said]")).to_have_text("Computing: search")

    Run.objects.filter(pk=run.pk).update(state="cancelled")
    expect(page.get_by_role("button", name="Compute it again")).to_be_visible()


def test_arrow_keys_walk_the_grid_which_is_one_stop_of_the_tab_key(
    live_server, page: Page, register, officer
):
    assessment = make_assessment(register.north)
    make_test("glucose", name="Blood glucose")
    for site in (register.ford, register.hill):
        make_finding(assessment, site, "blocked", test="glucose")
        make_finding(assessment, site, "runs")
    sign_in(page, f"{live_server.url}/coverage/", officer.username)
    readout = page.locator("[data-grid-readout]")

    expect(page.locator(".grid a:not([tabindex='-1'])")).to_have_count(1)

    page.get_by_role("region", name="Grid of sites and tests").focus()
    page.keyboard.press("Tab")
    expect(readout).to_have_text("Ford")
    page.keyboard.press("ArrowRight")
    expect(readout).to_have_text("Ford · Blood glucose · Cannot")
    page.keyboard.press("ArrowRight")
    expect(readout).to_have_text("Ford · Haemoglobin · Can run it")
    page.keyboard.press("ArrowRight")
    expect(readout).to_have_text("Ford · Haemoglobin · Can run it")
    page.keyboard.press("ArrowDown")
    expect(readout).to_have_text("Hill · Haemoglobin · Can run it")
    page.keyboard.press("ArrowLeft")
    expect(readout).to_have_text("Hill · Blood glucose · Cannot")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{live_server.url}/sites/hill/#test-glucose")
    expect(page.get_by_text("The catalogue has no method for it.")).to_be_visible()


def test_the_keyboard_alone_gets_past_the_menu(live_server, page: Page, officer):
    sign_in(page, f"{live_server.url}/sites/", officer.username)
    page.keyboard.press("Tab")

    expect(page.get_by_role("link", name="Skip to the content")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{live_server.url}/sites/#content")
