"""A visitor with a claim in hand, without an account: in the browser, with and without scripts."""

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.api.register import make_person, make_register
from tests.factories.catalogue import make_device_model
from tests.journeys.test_main_path import sign_in
from tests.web.scene import make_assessment, make_blocked, make_finding
from tests.web.spinning import make_spinning

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def centrifuge():
    made = make_spinning()
    make_device_model("bench", made, name="Bench centrifuge", specs={"rcf_max_g": 2500})
    return made


def test_a_visitor_checks_a_claim_mends_it_and_passes_the_answer_on(
    live_server, page: Page, centrifuge, inspect
):
    page.goto(f"{live_server.url}/sign-in/")
    page.get_by_role("link", name="Check the device").click()
    inspect(page)

    page.get_by_label("Speed", exact=True).fill("3,000")
    page.get_by_label("Radius", exact=True).fill("160")
    page.get_by_role("button", name="Check the claim").click()
    expect(page.get_by_role("heading", name="No answer")).to_be_visible()
    expect(page.get_by_label("Radius", exact=True)).to_have_attribute("aria-invalid", "true")
    inspect(page)

    page.get_by_label("Radius", exact=True).fill("15")
    page.get_by_label("Radius to where?").select_option("r_max")
    page.get_by_label("Driven by").select_option("mains")
    page.get_by_label("Time it runs").fill("10")
    page.get_by_label("For which method?").select_option("creatinine")
    page.get_by_role("button", name="Check the claim").click()
    verdict = page.get_by_role("heading", name="The figures fit together")
    expect(verdict).to_be_visible()
    expect(page.get_by_role("img", name="Relative centrifugal force")).to_be_visible()
    expect(page.locator("tr.is-chosen")).to_contain_text("would do")
    inspect(page)

    page.goto(page.get_by_role("link", name=f"{live_server.url}/devices/check/?").inner_text())
    expect(verdict).to_be_visible()


def test_without_scripts_the_answer_is_the_same(live_server, browser: Browser, centrifuge):
    quiet = browser.new_context(java_script_enabled=False)
    page = quiet.new_page()
    page.goto(f"{live_server.url}/devices/check/")
    page.get_by_label("Speed", exact=True).fill("125000")
    page.get_by_label("Relative centrifugal force", exact=True).fill("30000")
    page.get_by_label("What it spins").select_option("disc")
    page.get_by_role("button", name="Check the claim").click()

    expect(page.get_by_role("heading", name="The claim contradicts itself.")).to_be_visible()
    expect(page.get_by_text("0.1717")).not_to_have_count(0)
    quiet.close()


@pytest.mark.parametrize(
    "path",
    [
        "/devices/check/microscope/?magnification=2000&aperture=0.25&feature=malaria-ring",
        "/devices/check/photometer/?wavelengths_nm=540&absorbance_max=3&stray_share=1",
        "/devices/check/?speed_rpm=3000&radius_cm=10&rcf_g=3000&drive=hand",
        "/devices/",
        "/devices/bench/",
        "/methods/",
        "/methods/creatinine/",
    ],
)
def test_pages_of_the_catalogue_hold_to_the_rules_of_access(
    live_server, page: Page, centrifuge, inspect, path
):
    page.goto(f"{live_server.url}{path}")

    expect(page.get_by_role("heading", level=1)).to_be_visible()
    inspect(page)


def test_an_officer_goes_from_a_test_to_its_method_and_to_a_site_on_the_map(
    live_server, page: Page, inspect
):
    register = make_register()
    assessment = make_assessment(register.north)
    make_blocked(assessment, register.ford)
    make_finding(assessment, register.hill, "runs")
    officer = make_person("health_officer", register.north)
    sign_in(page, f"{live_server.url}/coverage/tests/haemoglobin/", officer.username)
    inspect(page)

    page.get_by_role("link", name="Cyanmethaemoglobin, photometer").first.click()
    expect(page.get_by_text("One site of North can run it.")).to_be_visible()
    inspect(page)
    page.go_back()
    page.locator("svg a", has=page.locator("path.at-blocked")).click()
    expect(page).to_have_url(f"{live_server.url}/sites/ford/#test-haemoglobin")
