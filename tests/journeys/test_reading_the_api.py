"""The page that describes the API works under the policy that forbids everything inline."""

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser


def test_the_page_of_the_api_lists_every_operation_and_asks_no_other_host(live_server, page: Page):
    page.goto(f"{live_server.url}/api/v1/docs/")
    wanted = {"Accept": "application/vnd.oai.openapi+json"}
    schema = page.request.get(f"{live_server.url}/api/v1/schema/", headers=wanted).json()
    operations = [method for path in schema["paths"].values() for method in path]

    expect(page.get_by_role("heading", name="Benchward")).to_be_visible()
    assert len(operations) > 20
    expect(page.locator(".opblock")).to_have_count(len(operations))


def test_an_operation_can_be_opened_to_see_its_filters_and_its_answers(live_server, page: Page):
    page.goto(f"{live_server.url}/api/v1/docs/")

    page.locator("#operations-coverage-list_coverage .opblock-summary-control").click()

    opened = page.locator("#operations-coverage-list_coverage")
    expect(opened.get_by_text("What the site can do about the test.")).to_be_visible()
    expect(opened.locator("tr[data-code='404']")).to_be_visible()
