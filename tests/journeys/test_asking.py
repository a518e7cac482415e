"""From a site that has no time for its tests to the figure behind them, adopted and taken back."""

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from apps.catalogue.models import LabTest
from apps.coverage.services import refresh_coverage
from apps.demand.models import Demand
from tests.api.register import make_person, make_register
from tests.factories.demand import make_rate, make_statistic
from tests.journeys.test_main_path import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def register():
    """Hill has 50 hours for 2000 haemoglobins of 6 minutes; it recorded 3000, rates say 1200."""
    made = make_register()
    made.hill.testing_hours_per_year = 50
    made.hill.save()
    haemoglobin = LabTest.objects.get(code="haemoglobin")
    haemoglobin.methods.update(batch_size=1, minutes_per_batch=0, minutes_per_sample=6)
    make_statistic(made.hill, haemoglobin, 3000, year=timezone.localdate().year)
    make_rate(haemoglobin, 0.1)
    return made


def test_an_officer_asks_whether_there_is_time_and_for_how_much(
    live_server, page: Page, register, inspect
):
    officer = make_person("health_officer", register.north)
    refresh_coverage(area=register.north, by=officer)
    sign_in(page, f"{live_server.url}/sites/hill/", officer.username)

    time = page.locator("#time")
    expect(time).to_contain_text("there is time for 500 (25\N{NO-BREAK SPACE}%)")
    expect(time).to_contain_text("150 more staff hours a year for testing")
    page.get_by_text("Tests that are cut").click()
    expect(time).to_contain_text("Haemoglobin: 500 of 2,000 a year")
    inspect(page)

    page.get_by_role("link", name="All of it, and adopting").click()
    page.get_by_text("how computed").click()
    expect(page.get_by_text("12,000 people × 0.1 episodes a year")).to_be_visible()
    inspect(page)

    page.get_by_role("link", name="adopt this").last.click()
    expect(page.get_by_text("One figure would change, from 1,000 to 1,200")).to_be_visible()
    inspect(page)
    page.get_by_label("Why").fill("The register was kept twice")
    page.get_by_role("button", name="Adopt").click()
    expect(page.get_by_text("1 figure adopted.")).to_be_visible()
    assert Demand.objects.get(facility=register.hill).tests_per_year == 1200

    page.get_by_role("button", name="Take back the adoption").click()
    expect(page.get_by_text("Taken back: 1 figure is as it was before.")).to_be_visible()
    assert Demand.objects.get(facility=register.hill).tests_per_year == 1000
