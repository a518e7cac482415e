"""How much is asked for: on the district's page, a site's page, in the file, and adopted."""

import html
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from apps.catalogue.models import LabTest
from apps.demand.models import Demand
from tests.api.register import make_facility, make_person
from tests.factories.demand import make_consumption, make_rate, make_statistic
from tests.web.scene import make_test

QUERIES = 18


@pytest.fixture
def haemoglobin(register) -> LabTest:
    return LabTest.objects.get(code="haemoglobin")


@pytest.fixture
def apart(register, haemoglobin):
    """Hill recorded 3000 haemoglobins, its 12 000 people need 1200; 1000 are adopted."""
    make_statistic(register.hill, haemoglobin, 3000, year=timezone.localdate().year)
    make_rate(haemoglobin, 0.1)
    return register


def words(answer) -> str:
    assert answer.status_code == 200
    text = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(html.unescape(text).split())


def rows(answer) -> list[str]:
    return re.findall(r'<tr id="([^"]+)"', answer.content.decode())


def adopted() -> dict[str, float]:
    return dict(Demand.objects.values_list("facility__code", "tests_per_year"))


def test_what_does_not_fit_is_listed_with_every_figure_and_its_formula(pages, apart):
    page = words(pages.get("/demand/"))

    assert "Of 1 sites and tests with more than one estimate, 1 do not fit" in page
    assert "The estimates are 2.5 × apart." in page
    year = timezone.localdate().year
    assert f"Service statistics : 3,000 recorded in {year} × 1 growth ÷ 1 reported = 3,000" in page
    assert (
        "Morbidity: 12,000 people × 0.1 episodes a year × 1 seek care × 1 eligible × 1 tests"
        " each = 1,200"
    ) in page


@pytest.mark.parametrize(
    ("query", "listed"),
    [
        ("", ["hill-haemoglobin"]),
        ("?show=all", ["hill-haemoglobin", "ford-haemoglobin"]),
        ("?show=changed", ["hill-haemoglobin", "ford-haemoglobin"]),
        ("?show=all&site=ford", ["ford-haemoglobin"]),
        ("?show=all&programme=maternal", ["hill-haemoglobin", "ford-haemoglobin"]),
        ("?show=all&block=north", ["hill-haemoglobin", "ford-haemoglobin"]),
        ("?show=all&test=other", []),
    ],
)
def test_the_list_narrows_as_the_address_says(pages, apart, query, listed):
    assert rows(pages.get(f"/demand/{query}")) == listed


def test_the_list_takes_as_many_queries_for_three_sites_and_tests_as_for_one(
    pages, apart, django_assert_num_queries
):
    with django_assert_num_queries(QUERIES):
        pages.get("/demand/?show=all")
    for number in range(3):
        site = make_facility(f"site-{number}", apart.upper, population=10)
        make_consumption(site, make_test(f"test-{number}"), 10)

    with django_assert_num_queries(QUERIES):
        pages.get("/demand/?show=all")


def test_estimates_that_do_not_fit_are_adopted_one_by_one_only(pages, apart):
    """Ford's 800 by rate are offered together with others; Hill's 3000 or 1200 are not."""
    page = words(pages.get("/demand/adopt/?show=all"))

    assert "One figure would change, from 1,000 to 800 tests a year." in page
    assert "Hill" not in page


def confirm(pages, query: dict[str, str]):
    page = pages.get("/demand/adopt/", query).content.decode()
    seen = re.search(r'name="seen" value="([0-9a-f]{64})"', page)[1]
    return pages.post("/demand/adopt/", {**query, "seen": seen, "why": "stock count"})


def test_the_figure_of_one_way_is_adopted_after_confirmation_and_taken_back(pages, apart):
    one = {"site": "hill", "test": "haemoglobin", "basis": "morbidity", "show": "all"}

    assert adopted()["hill"] == 1000
    answer = confirm(pages, one)
    assert (answer.status_code, adopted()["hill"]) == (302, 1200)
    assert Demand.objects.get(facility=apart.hill).basis == "morbidity"

    page = words(pages.get("/demand/"))
    assert "1 figure adopted." in page
    assert "Take back the adoption of" in page
    pages.post("/demand/restore/")
    assert adopted()["hill"] == 1000
    assert "Taken back: 1 figure is as it was before." in words(pages.get("/demand/"))


def test_what_changed_between_the_look_and_the_confirmation_is_not_adopted(pages, apart):
    query = {"site": "ford", "test": "haemoglobin", "show": "all"}

    pages.post("/demand/adopt/", {**query, "seen": "0" * 64})

    assert adopted()["ford"] == 1000
    assert "have changed since you looked" in words(pages.get("/demand/adopt/", query))


def test_an_auditor_sees_estimates_but_no_way_to_adopt_them(browse, apart):
    auditor = browse(make_person("auditor", apart.north))

    page = auditor.get("/demand/?show=all").content.decode()

    assert "2.5" in page
    assert reverse("web:demand-adopt") not in page
    assert auditor.get("/demand/adopt/").status_code == 403
    assert auditor.post("/demand/restore/").status_code == 403


def test_another_district_is_neither_shown_nor_adopted(pages, apart):
    for path in ("/demand/", "/demand/adopt/", "/demand/estimates.csv"):
        assert pages.get(path, {"district": "south"}).status_code == 404
    assert pages.post("/demand/adopt/", {"district": "south"}).status_code == 404


def test_the_file_holds_every_estimate_of_the_district(pages, apart):
    answer = pages.get("/demand/estimates.csv")

    lines = answer.content.decode("utf-8-sig").splitlines()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="demand-north.csv"'
    assert [line.split(",")[0] for line in lines] == ["facility", "ford", "hill"]


def test_a_site_says_how_much_is_asked_for_and_what_does_not_fit(pages, apart):
    page = words(pages.get("/sites/hill/"))

    assert "Its people and those sent to it ask for 1,000 tests a year" in page
    assert "one of them does not fit by more than a factor of two" in page
    assert "Haemoglobin : The estimates are 2.5 × apart." in page


def test_figures_not_to_be_relied_on_say_why(pages, register, haemoglobin):
    year = timezone.localdate().year
    make_statistic(register.hill, haemoglobin, 700, year=year, completeness_share=0.5)
    make_consumption(register.hill, haemoglobin, 900, year=year, period_months=5)
    make_consumption(
        register.ford, haemoglobin, 900, year=year, days_out_of_stock=200, tests_per_unit=2
    )

    page = words(pages.get("/demand/?show=all"))

    assert "(not to be relied on: only 50 % of the reports came in)" in page
    assert "(not to be relied on: only 5 months)" in page
    assert "(not to be relied on: out of stock for more than 25 % of the time)" in page
    assert "900 strips used to the end of" in page
    assert "÷ (12 − 200/30.4) months in stock × 12 × 2 tests each" in page
