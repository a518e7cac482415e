"""Writing down what is there without a connection: kept, sent once, and never over another's."""

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from apps.facilities.models import Facility, Observation
from apps.facilities.services import Said, change_site
from tests.api.register import DAY, make_person, make_register
from tests.factories.inventory import make_service_entry, make_staff_held
from tests.journeys.test_main_path import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WAITS = "Entries that wait in this browser: {n}. They are sent once there is a connection."


@pytest.fixture
def officer():
    return make_person("health_officer", make_register().north)


@pytest.fixture
def phone(context: BrowserContext) -> Page:
    """A page whose console may complain: without a connection every browser does."""
    page = context.new_page()
    page.set_viewport_size({"width": 390, "height": 844})
    return page


def open_facts(phone: Page, live_server, officer) -> None:
    sign_in(phone, f"{live_server.url}/sites/", officer.username)
    phone.goto(f"{live_server.url}/entry/sites/hill/facts/")
    phone.evaluate("async () => { await navigator.serviceWorker.ready; }")


def write(phone: Page, people: str) -> None:
    phone.get_by_label("People in the catchment").fill(people)
    phone.get_by_role("button", name="Keep it").click()


def test_an_entry_made_offline_waits_and_is_sent_once(
    live_server, context: BrowserContext, phone: Page, officer
):
    open_facts(phone, live_server, officer)
    context.set_offline(True)
    write(phone, "13000")
    expect(phone.locator("[data-entry-box]")).to_contain_text(WAITS.format(n=1))
    assert Facility.objects.get(code="hill").population == 12_000

    context.set_offline(False)

    expect(phone.locator("[data-entry-box]")).to_contain_text("Entries sent: 1.")
    assert Facility.objects.get(code="hill").population == 13_000
    assert Observation.objects.count() == 1


def test_two_entries_of_one_form_are_sent_in_order_without_a_conflict(
    live_server, context: BrowserContext, phone: Page, officer
):
    open_facts(phone, live_server, officer)
    context.set_offline(True)
    write(phone, "13000")
    write(phone, "13500")
    expect(phone.locator("[data-entry-box]")).to_contain_text(WAITS.format(n=2))

    context.set_offline(False)

    expect(phone.locator("[data-entry-box]")).to_contain_text("Entries sent: 2.")
    assert Facility.objects.get(code="hill").population == 13_500


def test_a_page_that_was_opened_before_opens_again_without_a_connection(
    live_server, context: BrowserContext, phone: Page, officer
):
    open_facts(phone, live_server, officer)
    phone.reload()
    context.set_offline(True)
    phone.reload()
    write(phone, "13000")
    expect(phone.locator("[data-entry-box]")).to_contain_text(WAITS.format(n=1))

    context.set_offline(False)

    expect(phone.locator("[data-entry-box]")).to_contain_text("Entries sent: 1.")


def test_an_entry_that_meets_another_change_shows_both_and_waits_for_a_decision(
    live_server, context: BrowserContext, phone: Page, officer, inspect
):
    open_facts(phone, live_server, officer)
    context.set_offline(True)
    write(phone, "14000")
    expect(phone.locator("[data-entry-box]")).to_contain_text(WAITS.format(n=1))
    change_site(
        site=Facility.objects.get(code="hill"),
        changes={"population": 13_000},
        seen=None,
        said=Said(observed_on=DAY),
        by=officer,
    )
    context.set_offline(False)
    expect(phone.locator("[data-entry-box]")).to_contain_text("Entries that need you: 1.")
    assert Facility.objects.get(code="hill").population == 13_000

    phone.goto(f"{live_server.url}/entry/")
    row = phone.get_by_role("row", name="People in the catchment")
    expect(row).to_contain_text("12,000")
    expect(row).to_contain_text("13,000")
    expect(row).to_contain_text("14,000")
    inspect(phone)
    phone.get_by_role("button", name="Keep mine").click()

    expect(phone.get_by_text("Nothing waits in this browser.")).to_be_visible()
    assert Facility.objects.get(code="hill").population == 14_000


def test_what_this_browser_keeps_is_cleared_after_a_second_press(
    live_server, context: BrowserContext, phone: Page, officer
):
    open_facts(phone, live_server, officer)
    context.set_offline(True)
    write(phone, "13000")
    expect(phone.locator("[data-entry-box]")).to_contain_text(WAITS.format(n=1))
    assert "csrf" not in phone.evaluate("localStorage.getItem('benchward-entries')")
    assert officer.username not in phone.evaluate("JSON.stringify(localStorage)")
    phone.evaluate("localStorage.setItem('kept', localStorage.getItem('benchward-entries'))")
    phone.evaluate("localStorage.removeItem('benchward-entries')")
    context.set_offline(False)
    phone.goto(f"{live_server.url}/entry/")
    phone.evaluate("""() => {
      const entries = JSON.parse(localStorage.getItem('kept'));
      entries[0].state = 'refused';
      localStorage.setItem('benchward-entries', JSON.stringify(entries));
    }""")
    phone.reload()
    clear = phone.locator("[data-entry-clear]")

    clear.click()
    expect(clear).to_have_text("Clear 1 unsent entries and all pages kept? Press once more.")
    clear.click()

    expect(phone.get_by_text("Nothing waits in this browser.")).to_be_visible()
    assert phone.evaluate("localStorage.getItem('benchward-entries')") == "[]"
    assert phone.evaluate("caches.has('benchward-entry-pages')") is False
    assert Facility.objects.get(code="hill").population == 12_000


def test_with_a_connection_an_entry_is_kept_at_once_and_its_pages_can_be_used_by_everybody(
    live_server, page: Page, officer, inspect
):
    sign_in(page, f"{live_server.url}/sites/hill/", officer.username)
    page.get_by_role("link", name="Write down what is there").click()
    inspect(page)
    page.get_by_role("link", name="What the site offers: power, water, cold, hours").click()
    inspect(page)
    page.get_by_label("People in the catchment").fill("13000")
    page.get_by_role("button", name="Keep it").click()

    expect(page.get_by_text("Kept: What the site offers.")).to_be_visible()
    assert Facility.objects.get(code="hill").population == 13_000


def test_the_pages_of_the_register_can_be_read_by_everybody(
    live_server, page: Page, officer, inspect
):
    hill = Facility.objects.get(code="hill")
    item = hill.equipmentitems.get()
    make_service_entry(item, kind="repair", cause="motor", days_down=9, cost=30)
    make_staff_held(hill, "K2", 2, testing_hours_per_week=10)
    sign_in(page, f"{live_server.url}/equipment/", officer.username)
    inspect(page)
    for path in ("items/hill-001/", "due/", "contradictions/"):
        page.goto(f"{live_server.url}/equipment/{path}")
        inspect(page)
    page.goto(f"{live_server.url}/staff/")
    inspect(page)


def test_the_second_of_two_decides_which_value_stays(live_server, phone: Page, officer, inspect):
    open_facts(phone, live_server, officer)
    change_site(
        site=Facility.objects.get(code="hill"),
        changes={"population": 13_000},
        seen=None,
        said=Said(observed_on=DAY),
        by=officer,
    )
    write(phone, "14000")

    expect(phone.get_by_role("heading", level=1)).to_have_text("Somebody changed the same")
    inspect(phone)
    phone.get_by_label("14,000").check()
    phone.get_by_role("button", name="Keep what is chosen").click()

    expect(phone.get_by_text("Kept: What the site offers.")).to_be_visible()
    assert Facility.objects.get(code="hill").population == 14_000
