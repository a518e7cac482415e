"""The time of each site, worked out with its coverage and kept beside the findings."""

import pytest

from apps.coverage.selectors import workload_at, workloads_for
from apps.coverage.services import refresh_coverage
from tests.apps.coverage.district import make_left_out, make_small_district
from tests.factories.accounts import make_person
from tests.factories.facilities import make_route


@pytest.fixture
def small(db):
    return make_small_district()


@pytest.fixture
def officer(small):
    person = make_person("officer", role="health_officer")
    person.stewardships.create(area=small.north)
    return person


def batched(small, **minutes):
    """Packed cell volume in batches of 20: 30 min for each and 4 for a sample; 24 in a run."""
    method = small.haematocrit.methods.get()
    figures = {"batch_size": 20, "minutes_per_batch": 30, "minutes_per_sample": 4}
    small.haematocrit.methods.update(**{**figures, **minutes})
    method.needs.update(minutes_per_run=6, samples_per_run=24)


def test_hours_are_those_of_the_batches_that_the_volume_of_the_site_fills(small, officer):
    batched(small)

    refresh_coverage(area=small.north, by=officer)

    kept = workload_at(officer, small.hill)
    assert (kept.asked, kept.doable) == (500, 500)
    # Two a day: 250 batches of 30 min and 500 samples of 4 min.
    assert kept.staff_needed_hours == pytest.approx((250 * 30 + 500 * 4) / 60)
    assert kept.staff_available_hours == 1000
    [centrifuge] = kept.detail["machines"]
    assert (centrifuge["name"], centrifuge["needed_hours"]) == ("Centrifuge", 25)
    assert (centrifuge["available_hours"], centrifuge["band"]) == (1500, "idle")


def test_what_binds_is_kept_with_the_share_that_it_allows(small, officer):
    batched(small, minutes_per_batch=0, minutes_per_sample=240)

    refresh_coverage(area=small.north, by=officer)

    kept = workload_at(officer, small.hill)
    assert (kept.binding, kept.binding_share) == ("staff", 0.5)
    assert (kept.doable, kept.detail["short_hours"]) == (250, 1000)
    assert kept.detail["staff"]["band"] == "over"


def test_tests_sent_from_elsewhere_take_the_hours_of_the_site_that_does_them(small, officer):
    make_route(small.ford, small.hill, hours=3)
    batched(small)

    refresh_coverage(area=small.north, by=officer)

    hill, ford = (workload_at(officer, site) for site in (small.hill, small.ford))
    assert (hill.asked, hill.detail["own"], hill.detail["from_others"]) == (1000, 500, 500)
    assert (ford.asked, ford.detail["sent_away"], ford.binding) == (0, 500, "")
    assert ford.binding_share is None


def test_a_site_without_known_hours_has_no_workload(small, officer):
    make_left_out(small)
    idle = small.upper.facilities.get(code="idle")

    refresh_coverage(area=small.north, by=officer)

    assert workload_at(officer, idle) is None
    assert [each.facility.code for each in workloads_for(officer)] == ["ford", "hill", "mill"]


def test_only_the_latest_assessment_counts_and_only_what_somebody_may_see(small, officer):
    refresh_coverage(area=small.north, by=officer)
    refresh_coverage(area=small.north, by=officer)
    stranger = make_person("stranger", role="health_officer")

    assert workloads_for(officer).count() == 3
    assert not workloads_for(stranger).exists()
    assert workload_at(stranger, small.hill) is None


def test_a_use_of_hours_that_are_not_there_is_kept_as_unknown_number(small, officer):
    batched(small)
    small.spinner.hours_per_year = 0
    small.spinner.save()

    refresh_coverage(area=small.north, by=officer)

    kept = workload_at(officer, small.hill)
    assert (kept.binding, kept.binding_share, kept.doable) == ("machine", 0, 0)
    assert kept.detail["machines"][0]["used_share"] is None
    assert kept.detail["binding_names"] == ["Centrifuge"]
