"""How well, where else, how far: parts of the pages of a site and of a test."""

import re

import pytest

from apps.catalogue.models import LabTest
from apps.facilities.models import Facility, ReferralRoute
from tests.api.register import make_facility
from tests.factories.demand import make_prevalence
from tests.factories.facilities import make_travel_time
from tests.web.scene import make_assessment, make_blocked, make_finding, make_test


@pytest.fixture
def assessment(register):
    return make_assessment(register.north)


@pytest.fixture
def apart(register):
    """The ford 0.2 degrees of longitude from the hill."""
    Facility.objects.filter(code="hill").update(latitude=0, longitude=30)
    Facility.objects.filter(code="ford").update(latitude=0, longitude=30.2)


def text(answer) -> str:
    assert answer.status_code == 200
    words = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(words.replace("\N{NO-BREAK SPACE}", " ").split())


def test_a_site_says_what_its_tests_find_miss_and_how_often_they_are_right(
    pages, register, assessment
):
    """1000 haemoglobins a year at the hill, 95 % found; two fifths have anaemia: 20 missed."""
    make_finding(assessment, register.hill, "runs")
    make_prevalence(LabTest.objects.get(code="haemoglobin"), 0.4, area=register.upper)

    page = text(pages.get("/sites/hill/"))

    assert "Of one test that runs here the expected prevalence is known." in page
    assert "40 % said of Upper block, invented for the demo" in page
    assert "specificity not known" in page


def test_a_test_whose_prevalence_nobody_has_entered_is_named_apart(pages, register, assessment):
    make_finding(assessment, register.hill, "runs")

    page = text(pages.get("/sites/hill/"))

    assert "Of one more test that runs here nobody has entered the prevalence" in page
    assert "the expected prevalence is known" not in page


def test_a_site_says_where_else_and_whether_the_specimen_keeps(pages, register, assessment, apart):
    make_blocked(assessment, register.ford)
    make_finding(assessment, register.hill, "runs")
    LabTest.objects.update(max_transport_hours=24)

    page = text(pages.get("/sites/ford/"))

    assert (
        "Hill 22.3 km in a straight line; by vehicle 1 h, in the rains 1.6 h · times estimated"
        in page
    )
    assert "Haemoglobin Hill 3 h, as stated 24 h 21 h to spare" in page


def test_pieces_of_a_way_are_told_and_what_was_measured(pages, register, assessment, apart):
    make_blocked(assessment, register.ford)
    make_finding(assessment, register.hill, "runs")
    LabTest.objects.update(max_transport_hours=72)
    ReferralRoute.objects.update(collection_weekdays="mon;thu", queue_hours=2)
    make_travel_time(register.ford, register.hill, hours=0.5)

    page = text(pages.get("/sites/ford/"))

    assert "by vehicle 30 min, in the rains 1.6 h · one of the times measured" in page
    assert "98.5 h = 96 h wait + 30 min way, measured + 2 h queue 72 h 26.5 h too late" in page


def test_tests_that_fare_alike_stand_in_one_line(pages, register, assessment, apart):
    for code in ("glucose", "urea"):
        make_test(code, max_transport_hours=24)
        make_blocked(assessment, register.ford, test=code)
        make_finding(assessment, register.hill, "runs", test=code)

    page = text(pages.get("/sites/ford/"))

    assert "Glucose; Urea Hill 3 h, as stated 24 h 21 h to spare" in page


def test_what_runs_nowhere_is_said_to(pages, register, assessment):
    make_blocked(assessment, register.ford)

    assert "Nowhere in the district Haemoglobin" in text(pages.get("/sites/ford/"))


@pytest.mark.parametrize(
    ("query", "answer"),
    [
        ("", "60 % of 20,000 people live within 2 hours of a site that runs it."),
        ("&by=unpaved&season=dry", "60 % of 20,000 people"),
        # What is no choice is a vehicle in the dry season.
        ("&by=boat&season=harvest", "Going by vehicle, unpaved road, dry season"),
        ("&by=walk&season=wet", "Going on foot, wet season"),
    ],
)
def test_a_test_says_how_far_people_are(pages, register, assessment, query, answer):
    Facility.objects.filter(code="ford").update(latitude=0, longitude=31)
    make_finding(assessment, register.hill, "runs")
    make_blocked(assessment, register.ford)

    page = text(pages.get(f"/coverage/tests/haemoglobin/?district=north{query}"))

    assert answer in page
    assert "At a site that runs it 12,000 60 %" in page


def test_degrees_that_look_exchanged_are_to_be_checked(pages, register, assessment):
    make_finding(assessment, register.hill, "runs")
    Facility.objects.filter(code="ford").update(latitude=30, longitude=1)
    make_facility("mill", register.upper, latitude=1, longitude=30)

    page = text(pages.get("/coverage/tests/haemoglobin/"))

    assert "latitude and longitude look exchanged at Ford;" in page


def test_the_bar_has_the_widths_of_the_shares(pages, register, assessment, apart):
    """12 000 of 20 000 at the hill, the others 1.04 hours away."""
    make_finding(assessment, register.hill, "runs")
    make_blocked(assessment, register.ford)

    page = pages.get("/coverage/tests/haemoglobin/").content.decode()

    parts = re.findall(
        r'<rect class="reach-(\w+)" x="([\d.]+)" width="([\d.]+)" height="6"/>', page
    )
    assert parts == [
        ("5", "0.00", "60.00"),
        ("3", "60.00", "0.00"),
        ("1", "60.00", "40.00"),
        ("none", "100.00", "0.00"),
    ]
