"""Skills that lapse, assessments of earlier days, records that contradict what a site can do."""

import datetime as dt

import pytest
from django.utils import timezone

from apps.coverage.models import Assessment
from apps.coverage.selectors import assessment_on, grid
from apps.coverage.selectors.contradictions import reported_against_capable
from apps.coverage.services import refresh_coverage
from apps.inventory.models import SkillHeld
from tests.factories.accounts import make_person
from tests.factories.demand import make_statistic
from tests.factories.inventory import make_infrastructure_held, make_item, make_skill_held


@pytest.fixture
def officer(small):
    officer = make_person(role="health_officer")
    officer.stewardships.create(area=small.north)
    return officer


def lapse(small, months, trained_on) -> None:
    type(small.staining).objects.filter(pk=small.staining.pk).update(lapses_after_months=months)
    SkillHeld.objects.filter(facility=small.hill).update(last_trained_on=trained_on)


def at_hill(small):
    return refresh_coverage(area=small.north, by=None).findings.get(facility=small.hill)


def test_a_lapsed_skill_is_unknown_with_what_to_ask_and_neither_there_nor_absent(small):
    lapse(small, 12, timezone.localdate() - dt.timedelta(days=400))

    found = at_hill(small)

    assert (found.state, found.detail["questions"]) == (
        "unknown",
        ["Ask whether anybody at Hill is trained in staining"],
    )


@pytest.mark.parametrize(
    ("months", "days_ago"), [(None, 4000), (12, None), (12, 300)], ids=["never", "undated", "fresh"]
)
def test_a_skill_counts_that_does_not_lapse_or_has_not_or_has_no_day(small, months, days_ago):
    day = days_ago and timezone.localdate() - dt.timedelta(days=days_ago)
    lapse(small, months, day)

    assert at_hill(small).state == "runs"


def test_nobody_trained_stays_a_no_however_long_ago(small):
    lapse(small, 12, dt.date(2001, 1, 1))
    SkillHeld.objects.filter(facility=small.hill).update(staff_count=0)

    assert at_hill(small).state == "blocked"


@pytest.fixture
def two_days(small):
    """An assessment of 1 March and one of 5 April 2026."""
    made = [refresh_coverage(area=small.north, by=None) for _ in range(2)]
    for assessment, month, day in zip(made, (3, 4), (1, 5), strict=True):
        at = dt.datetime(2026, month, day, 12, tzinfo=dt.UTC)
        Assessment.objects.filter(pk=assessment.pk).update(made_at=at)
    return made


@pytest.mark.parametrize(
    ("day", "which"),
    [
        (dt.date(2026, 2, 28), None),
        (dt.date(2026, 3, 1), 0),
        (dt.date(2026, 4, 4), 0),
        (dt.date(2026, 4, 5), 1),
    ],
)
def test_the_coverage_of_a_day_is_the_last_that_was_worked_out_by_its_evening(
    small, officer, two_days, day, which
):
    wanted = None if which is None else two_days[which]

    assert assessment_on(small.north, day) == wanted
    assert grid(officer, small.north, on=day).assessment == wanted


def test_a_grid_of_a_day_before_the_first_assessment_has_no_cells(small, officer, two_days):
    shown = grid(officer, small.north, on=dt.date(2026, 2, 28))

    assert (shown.counts, {cell for row in shown.rows for cell in row.cells}) == ({}, {None})


def test_tests_of_a_site_that_cannot_and_none_of_one_that_can_are_noticed(small, officer):
    make_statistic(small.hill, small.haematocrit, 0)
    make_statistic(small.mill, small.haematocrit, 30)
    refresh_coverage(area=small.north, by=None)

    found = reported_against_capable(officer, small.north)

    assert {(each.finding.facility.code, each.recorded_tests, each.phantom) for each in found} == {
        ("hill", 0, False),
        ("mill", 30, True),
    }


def test_what_fits_what_is_unknown_and_what_an_older_year_says_is_not_noticed(small, officer):
    make_statistic(small.hill, small.haematocrit, 12, year=2025)
    make_statistic(small.hill, small.haematocrit, 0, year=2024)
    make_statistic(small.ford, small.haematocrit, 30)
    make_statistic(small.mill, small.haematocrit, 0)
    make_item(small.ford, small.spinner, "unknown")
    make_skill_held(small.ford, small.staining)
    make_infrastructure_held(small.ford, small.water)
    refresh_coverage(area=small.north, by=None)

    assert reported_against_capable(officer, small.north) == []
