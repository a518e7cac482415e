import csv
import io

import pytest

from apps.accounts.models import User
from tests.api.register import make_facility, make_person
from tests.web.scene import make_assessment, make_blocked, make_finding, make_test

GRID_QUERIES = 12
TEST_QUERIES = 15


@pytest.fixture
def assessment(register):
    assessment = make_assessment(register.north)
    make_test("glucose")
    make_finding(assessment, register.hill, "runs")
    make_finding(assessment, register.hill, "unknown", test="glucose")
    make_finding(assessment, register.ford, "referred", referred_to=register.hill)
    make_finding(assessment, register.ford, "blocked", test="glucose")
    return assessment


def get(pages, query: str = "") -> str:
    return pages.get(f"/coverage/{query}").content.decode()


def cells(page: str) -> list[str]:
    """The letters of the cells, row by row."""
    return [part[0] for part in page.split("<td class=")[1:] if part[1] == ">"]


def test_the_grid_shows_each_site_and_test_with_its_state(pages, assessment):
    page = get(pages)

    assert '<td class=r><a href="/sites/hill/#test-haemoglobin">Can run it</a></td>' in page
    assert '<td class=f><a href="/sites/ford/#test-haemoglobin">By referral</a></td>' in page
    assert sorted(cells(page)) == ["b", "f", "r", "u"]


def test_the_answer_and_the_legend_count_the_cells(pages, assessment):
    page = " ".join(get(pages).replace("\N{NO-BREAK SPACE}", " ").split())

    assert "25 % can be run on site and 25 % by referral; 25 % cannot, and of 25 % nobody" in page
    assert "Can run it</span> <b>1</b>" in page
    assert "Not expected here</span> <b>0</b>" in page


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("?text=glucose", ["b", "u"]),
        ("?text=hill", ["r", "u"]),
        ("?block=upper", ["b", "f", "r", "u"]),
        ("?programme=maternal", ["b", "f", "r", "u"]),
        ("?level=1", []),
        ("?text=zinc", []),
    ],
)
def test_the_grid_narrows_as_the_address_says(pages, assessment, query, found):
    assert sorted(cells(get(pages, query))) == found


def test_a_state_leaves_only_sites_and_tests_where_it_occurs(pages, assessment, register):
    page = get(pages, "?state=blocked")

    assert "/sites/ford/#test-glucose" in page
    assert "/sites/hill/#test-haemoglobin" not in page


def test_nothing_found_says_so_and_shows_the_way_back(pages, assessment):
    page = get(pages, "?text=zinc")

    assert "No cell fits" in page
    assert '<a href="/coverage/">Show the whole grid</a>' in page


def test_an_answer_that_is_no_choice_is_named_and_limits_nothing(pages, assessment):
    page = get(pages, "?state=perhaps")

    assert "Select a valid choice. perhaps is not one of the available choices." in page
    assert len(cells(page)) == 4


def test_before_an_assessment_the_page_says_what_to_do(pages):
    page = get(pages)

    assert "Nobody has worked it out for North yet." in page
    assert "Work it out now" in page


def test_working_it_out_fills_the_grid_and_comes_back_to_it(pages, register, officer):
    answer = pages.post("/coverage/refresh/", {"district": "north"}, follow=True)

    page = answer.content.decode()
    assert answer.redirect_chain == [("/coverage/?district=north", 302)]
    assert register.north.assessments.get().made_by == officer
    assert sorted(cells(page)) == ["f", "r"]
    assert "Worked out from the register as it stands now." in page


def test_the_page_says_when_and_by_whom_it_was_worked_out(pages, register, officer):
    pages.post("/coverage/refresh/")

    assert f"by {officer} from the register as it then stood" in get(pages)


@pytest.mark.parametrize("sites", [1, 3])
def test_the_grid_takes_as_many_queries_for_three_sites_as_for_one(
    pages, register, django_assert_num_queries, sites
):
    assessment = make_assessment(register.north)
    register.ford.delete()
    make_finding(assessment, register.hill, "runs")
    for number in range(sites - 1):
        make_finding(assessment, make_facility(f"site-{number}", register.upper), "runs")

    with django_assert_num_queries(GRID_QUERIES):
        page = get(pages)

    assert cells(page) == ["r"] * sites


def test_the_download_holds_one_row_for_each_finding(pages, assessment):
    answer = pages.get("/coverage/findings.csv")

    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert answer.headers["Content-Disposition"] == 'attachment; filename="coverage-north.csv"'
    assert len(rows) == 4


def test_the_download_before_an_assessment_is_not_found(pages):
    assert pages.get("/coverage/findings.csv").status_code == 404


def test_an_administrator_of_two_districts_can_ask_for_either(browse, register):
    make_assessment(register.south)
    make_finding(make_assessment(register.south), register.coast, "runs")
    person: User = make_person("health_officer", register.north)
    person.stewardships.create(area=register.south)

    page = browse(person).get("/coverage/?district=south").content.decode()

    assert "/sites/coast/" in page
    assert "/sites/hill/" not in page


def across(pages) -> str:
    return " ".join(pages.get("/coverage/tests/haemoglobin/").content.decode().split())


def test_a_test_across_the_district_says_what_stands_in_its_way_and_the_cheapest_remedy(
    pages, register
):
    assessment = make_assessment(register.north)
    make_blocked(assessment, register.ford)
    make_finding(assessment, register.hill, "runs")

    page = across(pages)

    assert "One site cannot offer it, not even by referral; 8,000 people live there." in page
    assert '<th scope="row">no working photometer with a wavelength of 540 nm<br>' in page
    assert '<a href="/sites/ford/#test-haemoglobin">Ford</a>' in page
    assert 'Buy: Cuvette photometer: <data class="money" value="900.0">' in page


def test_a_test_across_the_district_says_where_specimens_go_and_how_many_people_that_serves(
    pages, register
):
    assessment = make_assessment(register.north)
    make_finding(assessment, register.hill, "runs")
    make_finding(assessment, register.ford, "referred", referred_to=register.hill)

    goes = across(pages).partition("Where people’s specimens go")[2].partition("</table>")[0]

    assert '<th scope="row"><a href="/sites/hill/">Hill</a></th>' in goes
    assert ">8,000</td>" in goes
    assert '<a href="/sites/ford/#test-haemoglobin">Ford</a>' in goes


def test_a_test_across_the_district_compares_its_methods_with_the_sites_that_can(pages, register):
    assessment = make_assessment(register.north)
    make_finding(assessment, register.hill, "runs")
    make_finding(assessment, register.ford, "blocked")

    compared = across(pages).partition("The methods compared")[2].partition("</table>")[0]

    assert '<a href="/methods/haemoglobin-photometry/">' in compared
    assert 'data-head="Sites that can">1</td>' in compared


def test_the_map_of_a_test_marks_each_site_with_its_state_in_words_and_glyph(pages, register):
    assessment = make_assessment(register.north)
    make_finding(assessment, register.hill, "runs")
    make_finding(assessment, register.ford, "blocked")

    drawn = across(pages).partition('<figure class="map')[2].partition("</svg>")[0]

    assert 'aria-label="Hill, Health centre: 12,000 people, Can run it"' in drawn
    assert 'aria-label="Ford, Health centre: 8,000 people, Cannot"' in drawn
    assert drawn.count("map-glyph at-blocked") == 1
    assert "map-glyph at-runs" not in drawn


@pytest.mark.parametrize("sites", [1, 3])
def test_a_test_across_the_district_takes_as_many_queries_for_three_sites_as_for_one(
    pages, register, django_assert_num_queries, sites
):
    assessment = make_assessment(register.north)
    make_blocked(assessment, register.ford)
    make_finding(assessment, register.hill, "referred", referred_to=register.ford)
    for number in range(sites - 1):
        make_blocked(assessment, make_facility(f"site-{number}", register.upper))

    with django_assert_num_queries(TEST_QUERIES):
        page = across(pages)

    assert page.count("map-glyph at-blocked") == sites + 1


def test_the_heads_of_the_grid_lead_to_their_tests(pages, assessment):
    assert 'href="/coverage/tests/glucose/?district=north"' in get(pages)


@pytest.mark.parametrize("code", ["zinc", "haemoglobin"])
def test_a_test_that_is_not_there_or_was_not_worked_out_is_not_found(pages, register, code):
    assert pages.get(f"/coverage/tests/{code}/").status_code == 404


def test_what_few_people_meet_is_folded_away_below_what_most_meet(pages, register):
    assessment = make_assessment(register.north)
    for number in range(9):
        site = make_facility(f"site-{number}", register.upper, population=1000 - number)
        lack = {"kind": "device", "what": "x", "reason": f"reason {number}"}
        method = {"code": "m", "name": "M", "runs": False, "missing": [lack]}
        make_finding(assessment, site, "blocked", detail={"methods": [method]})

    first, folded, rest = across(pages).partition('<details class="print-open">')

    assert folded != ""
    assert [f">reason {number}<" in first for number in range(9)] == [True] * 7 + [False] * 2
    assert "2 more things stand in the way, of fewer people" in rest
    assert [f">reason {number}<" in rest for number in (7, 8)] == [True, True]
