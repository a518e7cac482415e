"""Whether there is time, in words; and the bar that shows how busy something is."""

from types import SimpleNamespace
from typing import Any

import pytest
from django.template import Context, Template

from apps.coverage.models import SiteWorkload
from apps.web.workloads import time_of
from tests.web.scene import make_assessment

SMEAR = {
    "test": "afb", "test_name": "Acid-fast smear", "method": "smear", "method_name": "Microscopy",
    "asked": 1000.0, "doable": 500.0, "staff_hours": 1000.0,
}  # fmt: skip
MICROSCOPE = {
    "name": "Microscope", "needed_hours": 900.0, "available_hours": 1000.0, "used_share": 0.9,
    "band": "queueing", "units": 1.0, "broken_units": 2.0,
}  # fmt: skip
STAFF = {"needed_hours": 1000.0, "available_hours": 500.0, "used_share": 2.0, "band": "over"}


def workload(**given: Any) -> SimpleNamespace:
    """Staff have half the hours for 1000 smears; the microscope suffices."""
    detail = {
        "own": 600.0, "from_others": 400.0, "sent_away": 30.0, "undone": 20.0,
        "short_hours": 500.0, "binding_names": [], "staff": STAFF, "machines": [MICROSCOPE],
        "tests": [SMEAR],
    }  # fmt: skip
    detail |= {key: given.pop(key) for key in list(given) if key in detail}
    values = {"asked": 1000.0, "doable": 500.0, "binding": "staff", "binding_share": 0.5}
    return SimpleNamespace(**{**values, "detail": detail, **given})


def test_a_site_short_of_staff_says_how_much_it_has_time_for_and_what_would_relieve_it():
    time = time_of(workload())

    assert time.answer == (
        "Not for all: of the 1,000 tests a year that it is equipped for there is time for 500"
        " (50\N{NO-BREAK SPACE}%). What is short is staff time."
    )
    assert time.whose == (
        "600 are for its own people and 400 for those of other sites. Of what its own people"
        " need, 30 more are done elsewhere and 20 nowhere in reach."
    )
    assert time.relief == (
        "500 more staff hours a year for testing",
        "Fuller batches or quicker methods; most time goes to Acid-fast smear by Microscopy,"
        " 1,000 h",
        "Sending on what there is no time for, 500 tests a year",
    )
    assert time.short_tests == (SMEAR,)


def test_a_site_short_of_machines_is_offered_repair_first():
    time = time_of(workload(binding="machine", binding_names=["Microscope"], short_hours=120.4))

    assert "What is short is time on: Microscope." in time.answer
    assert time.relief == (
        "Repair: Microscope, 1 working unit, 2 that can be repaired",
        "Another unit; 120 more machine hours a year are needed",
        "Sending on what there is no time for, 500 tests a year",
    )


@pytest.mark.parametrize(("share", "begins", "relieved"), [(1.0, "Yes", 0), (0.999, "Not", 3)])
def test_exactly_enough_is_enough(share, begins, relieved):
    time = time_of(workload(binding_share=share))

    assert time.answer.startswith(begins)
    assert len(time.relief) == relieved


def test_a_site_with_time_to_spare_says_when_it_would_run_out():
    time = time_of(workload(binding_share=2.24, doable=1000.0))

    assert time.answer.endswith(
        "First to run out would be staff time, if 2.2 times as much were asked."
    )


def test_resources_stand_staff_first_then_the_busiest_machine_with_its_use_in_words():
    idle = {**MICROSCOPE, "name": "Centrifuge", "used_share": 0.1, "band": "idle"}
    without = {**MICROSCOPE, "name": "Reader", "used_share": None, "band": "over"}

    resources = time_of(workload(machines=[idle, MICROSCOPE, without])).resources

    assert [(each.name, each.words, each.is_binding) for each in resources] == [
        ("Staff", "200\N{NO-BREAK SPACE}%, more asked than there is time for", True),
        ("Reader", "no time at all", False),
        ("Microscope", "90\N{NO-BREAK SPACE}%, so busy that people wait", False),
        ("Centrifuge", "10\N{NO-BREAK SPACE}%, hardly used: consider sharing or referral", False),
    ]


def test_a_site_of_which_nothing_is_asked_says_so():
    time = time_of(workload(asked=0.0, doable=0.0, binding="", binding_share=None, tests=[]))

    assert time.answer == "Nothing that takes time is asked of this site."
    assert time.relief == ()


def bar(share: float | None) -> str:
    text = "{% load uses %}{% use_bar share=share words=words %}"
    return Template(text).render(Context({"share": share, "words": "so busy"}))


@pytest.mark.parametrize(
    ("share", "width", "over"),
    [(0, "0.0", False), (0.455, "45.5", False), (1, "100.0", False), (1.01, "100.0", True),
     (None, "100.0", True)],
)  # fmt: skip
def test_the_bar_is_as_wide_as_the_use_and_marks_what_is_over(share, width, over):
    shown = bar(share)

    assert f'width="{width}"' in shown
    assert ("use-over" in shown) == over
    assert "so busy" in shown


def test_a_site_shows_its_time(pages, register):
    assessment = make_assessment(register.north)
    kept = vars(workload())
    SiteWorkload.objects.create(
        assessment=assessment, facility=register.hill, staff_needed_hours=1000,
        staff_available_hours=500, **kept,
    )  # fmt: skip

    page = pages.get("/sites/hill/").content.decode()

    assert "Is there time for it?" in page
    assert "Not for all: of the 1,000 tests a year" in page
    assert "runs out first" in page


def test_a_site_whose_hours_nobody_knows_says_what_to_ask(pages, register):
    register.hill.testing_hours_per_year = None
    register.hill.save()
    make_assessment(register.north)

    page = pages.get("/sites/hill/").content.decode()

    assert "nobody has written down how many staff hours a year can go to testing here" in page
