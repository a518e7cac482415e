import pytest

from apps.demand.selectors import demand_at
from apps.inventory.selectors import infrastructure_at, items_at, items_for, skills_at
from tests.factories.accounts import make_person
from tests.factories.catalogue import (
    make_device_model,
    make_infrastructure,
    make_skill,
    make_test,
)
from tests.factories.facilities import make_block, make_district, make_facility
from tests.factories.inventory import (
    make_demand,
    make_infrastructure_held,
    make_item,
    make_skill_held,
)


@pytest.fixture
def hill(db):
    return make_facility("hill", make_block("upper", make_district("north")))


@pytest.fixture
def coast(db):
    return make_facility("coast", make_district("south"))


@pytest.fixture
def officer(hill):
    officer = make_person(role="health_officer")
    officer.stewardships.create(area=hill.area.parent)
    return officer


def test_equipment_is_seen_by_those_who_answer_for_its_facility(hill, coast, officer):
    spinner = make_device_model("spinner")
    mine = make_item(hill, spinner)
    make_item(coast, spinner)

    assert list(items_for(officer)) == [mine]
    assert list(items_for(make_person("stranger"))) == []


def test_equipment_of_a_closed_facility_is_not_listed(hill, officer):
    make_item(hill, make_device_model("spinner"))
    hill.closed_on = "2026-01-15"
    hill.save()

    assert list(items_for(officer)) == []


def test_what_a_facility_holds_is_its_own(hill, coast):
    spinner, staining, water = (
        make_device_model("spinner"),
        make_skill("staining"),
        make_infrastructure("water"),
    )
    malaria = make_test("malaria")
    for site in (hill, coast):
        make_item(site, spinner)
        make_skill_held(site, staining)
        make_infrastructure_held(site, water)
        make_demand(site, malaria, 10)

    held = [read(hill) for read in (items_at, skills_at, infrastructure_at, demand_at)]

    assert [[row.facility for row in rows] for rows in held] == [[hill]] * 4


@pytest.mark.parametrize("count", [1, 3])
def test_equipment_is_listed_in_two_queries_however_much_there_is(
    hill, officer, django_assert_num_queries, count
):
    for number in range(count):
        make_item(hill, make_device_model(f"model-{number}"))

    with django_assert_num_queries(2):
        rows = [(item.device_model.name, item.facility.area.name) for item in items_for(officer)]

    assert len(rows) == count
