import re

import pytest
from django.urls import reverse

from apps.facilities.models import Area
from apps.inventory.models import EquipmentItem
from tests.api.register import DAY, make_facility
from tests.web.scene import BUY, make_assessment, make_blocked, make_finding, make_test

LIST_QUERIES = 11
DETAIL_QUERIES = 33


def names(page: str) -> list[str]:
    return re.findall(r'<th scope="row"><a href="[^"]+">([^<]+)</a>', page)


def get(pages, query: str = "") -> str:
    return pages.get(f"/sites/{query}").content.decode()


def test_the_list_holds_the_open_sites_of_the_district(pages, register):
    register.ford.closed_on = DAY
    register.ford.save()

    page = get(pages)

    assert names(page) == ["Hill"]
    assert "North has one open site." in " ".join(page.split())


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["Ford", "Hill"]),
        ("?text=HIL", ["Hill"]),
        ("?level=2", ["Ford", "Hill"]),
        ("?level=3", []),
        ("?block=upper", ["Ford", "Hill"]),
        ("?sort=-people", ["Hill", "Ford"]),
        ("?sort=people", ["Ford", "Hill"]),
    ],
)
def test_the_list_narrows_and_sorts_as_the_address_says(pages, query, found):
    assert names(get(pages, query)) == found


def test_a_block_that_is_not_there_is_refused_in_words(pages):
    page = get(pages, "?block=nowhere")

    assert "Select a valid choice. nowhere is not one of the available choices." in page


def test_the_filter_keeps_the_order_and_the_order_keeps_the_filter(pages):
    page = get(pages, "?text=i&sort=-people")

    assert '<input type="hidden" name="sort" value="-people"' in page
    assert 'href="?text=i&amp;sort=people"' in page
    assert 'aria-sort="descending"' in page


def test_nothing_found_says_so_and_shows_the_way_back(pages):
    page = get(pages, "?text=zzz")

    assert "No site fits" in page
    assert '<a href="/sites/">Show all sites</a>' in page


def test_the_fifty_first_site_stands_on_the_second_page(pages, register):
    for number in range(49):
        make_facility(f"site-{number:02}", register.upper)

    first, second = names(get(pages)), names(get(pages, "?page=2"))

    assert (len(first), second) == (50, ["Site-48"])


@pytest.mark.parametrize("sites", [1, 3])
def test_the_list_takes_as_many_queries_for_three_sites_as_for_one(
    pages, register, django_assert_num_queries, sites
):
    assessment = make_assessment(register.north)
    register.ford.delete()
    for number in range(sites - 1):
        make_finding(assessment, make_facility(f"site-{number}", register.upper), "runs")

    with django_assert_num_queries(LIST_QUERIES):
        pages.get("/sites/")


def test_each_site_says_how_many_of_the_expected_tests_it_runs(pages, register):
    assessment = make_assessment(register.north)
    make_test("glucose")
    make_finding(assessment, register.hill, "runs")
    make_finding(assessment, register.hill, "unknown", test="glucose")

    page = get(pages, "?text=hill")

    assert '1 of 2<span class="unseen"> expected tests</span>' in page
    assert "<title>Hill, Health centre: 12,000 people, 1 of 2 tests</title>" in page


def test_the_map_is_drawn_on_the_outline_of_the_blocks(pages, register):
    corners = [[30, 1], [31, 1], [31, 2], [30, 2], [30, 1]]
    Area.objects.filter(code="upper").update(outline={"type": "Polygon", "coordinates": [corners]})

    page = get(pages)

    assert page.count('class="map-land"') == 1
    assert page.count('class="map-point share-none" d=') == 2


def test_an_unknown_population_is_shown_as_not_known_and_never_as_zero(pages, register):
    register.ford.population = None
    register.ford.save()

    assert '<td class="number"><span class="not-known">not known</span></td>' in get(pages)


def test_before_an_assessment_the_list_says_that_nothing_is_worked_out(pages):
    page = get(pages)

    assert 'href="/coverage/">not been worked out yet</a>' in page
    assert page.count("not worked out") == 2


@pytest.fixture
def hill(pages):
    def read() -> str:
        return pages.get(reverse("web:site-detail", args=["hill"])).content.decode()

    return read


def test_a_site_shows_its_facts_with_the_day_they_were_seen(hill, register):
    register.hill.observed_on = DAY
    register.hill.save()

    page = hill()

    assert "<dt>People in the catchment</dt><dd>12,000" in page
    assert 'as of <time datetime="2026-01-15">15 Jan 2026</time>' in page
    assert '<dt>Power</dt><dd><span class="not-known">not known</span>' in page


def test_what_stands_in_the_way_is_said_with_the_cheapest_fix_and_its_cost(hill, register):
    make_blocked(make_assessment(register.north), register.hill)

    page = hill()

    assert "<li>no working photometer with a wavelength of 540 nm</li>" in page
    assert "Buy: Cuvette photometer" in page
    assert 'value="900.0">USD\N{NO-BREAK SPACE}900</data>' in page
    assert "It can run 0 of the 1 tests it should." in page


def test_a_referral_names_and_links_the_other_site(hill, register):
    make_finding(
        make_assessment(register.north), register.hill, "referred", referred_to=register.ford
    )

    page = hill()

    assert '<th scope="row"><a href="/sites/ford/">Ford</a></th>' in page
    assert '<span id="test-haemoglobin">Haemoglobin</span>' in page


def test_an_unknown_asks_for_what_would_settle_it(hill, register):
    detail = {"methods": [], "fix": [], "questions": ["Measure the wavelength of hill-001."]}
    make_finding(make_assessment(register.north), register.hill, "unknown", detail=detail)

    page = hill()

    assert '<th scope="row">Measure the wavelength of hill-001.</th>' in page
    assert '<span id="test-haemoglobin">Haemoglobin</span>' in page


def test_a_blocked_test_that_nothing_can_put_right_says_so(hill, register):
    detail = {"methods": [], "fix": [], "questions": []}
    make_finding(make_assessment(register.north), register.hill, "blocked", detail=detail)

    page = hill()

    assert "Nothing that money can buy makes these run here" in page
    assert "The catalogue has no method for it." in page


def test_equipment_stands_with_its_condition_and_the_reason(hill):
    EquipmentItem.objects.filter(code="hill-001").update(
        condition="repairable", reason="missing_part", serial_number="S-1"
    )

    page = " ".join(hill().split())

    assert ">Broken, can be repaired</td>" in page
    assert ">Part missing</td>" in page
    assert "serial number S-1" in page


def test_a_site_without_findings_says_how_to_get_them(hill):
    assert "Not worked out yet" in hill()


def test_a_site_of_which_nothing_is_held_says_so_three_times(pages):
    page = pages.get("/sites/ford/").content.decode()

    assert "The register holds no equipment of this site." in page
    assert "Nothing is known about the skills here." in page
    assert "Nothing is known about the infrastructure here." in page


@pytest.mark.parametrize("tests", [1, 3])
def test_a_site_takes_as_many_queries_for_three_tests_as_for_one(
    pages, register, django_assert_num_queries, tests
):
    assessment = make_assessment(register.north)
    for number in range(tests):
        make_test(f"test-{number}")
        make_blocked(assessment, register.hill, test=f"test-{number}")
    for number in range(tests - 1):
        item = EquipmentItem.objects.get(code="hill-001")
        item.pk, item.code = None, f"hill-{number}"
        item.save()

    with django_assert_num_queries(DETAIL_QUERIES):
        page = pages.get("/sites/hill/").content.decode()

    assert page.count(BUY["name"]) >= tests


def test_a_site_that_lies_in_the_district_itself_can_be_asked_for_by_its_area(pages, register):
    make_facility("great-hospital", register.north, level=4)

    page = get(pages, "?block=north")

    assert names(page) == ["Great-Hospital"]
    assert '<option value="north" selected>North</option>' in page


def test_areas_without_sites_are_not_offered(pages, register):
    Area.objects.create(code="empty", name="Empty block", kind="block", parent=register.north)

    page = get(pages)

    assert [area in page for area in ("Upper block</option>", "Empty block</option>")] == [
        True, False,
    ]  # fmt: skip
