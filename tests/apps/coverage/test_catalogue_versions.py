"""What another version of the catalogue changes at the sites of a district."""

import pytest

from apps.catalogue.models import DeviceModel, LabTest, Method, Requirement, Skill, Specification
from apps.coverage.adapters import CellChange, freeze_as_it_stands, planning_lists, under
from apps.coverage.services import publish_catalogue, site_changes
from planner.engine.case import Case
from planner.engine.coverage import State
from tests.api.register import make_register

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return make_register().north


def test_the_lists_of_a_version_give_the_case_that_the_rows_give(north):
    frozen = freeze_as_it_stands(north).case

    assert under(frozen, planning_lists()) == frozen


def test_a_case_under_another_catalogue_can_be_read_like_any_other(north):
    frozen = freeze_as_it_stands(north).case
    lists = planning_lists()
    lists["tests"] = []
    lists["methods"] = []
    lists["skills"] = []
    lists["device_models"] = []
    other = under(frozen, lists)

    assert Case.read(other.model_dump_json(by_alias=True)) == other
    assert [(site.skills, dict(site.demand)) for site in other.sites] == [((), {})] * 2
    assert other.stock == ()


def test_a_stricter_requirement_blocks_the_sites_whose_device_no_longer_suits(north):
    before = planning_lists()
    Requirement.objects.update(value=546)

    assert site_changes(north, before=before, after=None) == (
        CellChange("ford", "haemoglobin", State.REFERRED, State.BLOCKED),
        CellChange("hill", "haemoglobin", State.RUNS, State.BLOCKED),
    )


def test_the_other_way_round_it_opens_them_again(north):
    Requirement.objects.update(value=546)
    strict = planning_lists()
    Requirement.objects.update(value=540)

    assert [
        (change.site, change.after) for change in site_changes(north, before=strict, after=None)
    ] == [("ford", State.REFERRED), ("hill", State.RUNS)]


def test_a_specification_taken_back_is_unknown_not_blocked(north):
    before = planning_lists()
    Specification.objects.all().delete()

    changes = {
        change.site: change.after for change in site_changes(north, before=before, after=None)
    }
    assert changes["hill"] == State.UNKNOWN


def test_a_test_that_one_catalogue_does_not_have_is_in_no_state_there(north):
    without = planning_lists()
    without["tests"], without["methods"] = [], []

    assert CellChange("hill", "haemoglobin", None, State.RUNS) in site_changes(
        north, before=without, after=None
    )


def test_equal_catalogues_change_nothing(north):
    assert site_changes(north, before=planning_lists(), after=planning_lists()) == ()


def test_names_prices_and_sources_change_no_site(north):
    before = planning_lists()
    DeviceModel.objects.update(name="Another name", price=1)
    Skill.objects.update(training_cost=5)
    LabTest.objects.update(name="Hb")
    Method.objects.update(name="By light")

    assert site_changes(north, before=before, after=None) == ()


def test_a_published_version_keeps_the_lists_under_which_it_was_published(north):
    version = publish_catalogue(title="First", by=None)
    Requirement.objects.update(value=546)

    changed = site_changes(north, before=version.values["planning"], after=None)
    assert [change.site for change in changed] == ["ford", "hill"]
