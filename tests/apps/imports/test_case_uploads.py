"""Planning cases on their way back into the register."""

import json

import pytest
from django.core.management import call_command

from apps.coverage.adapters import freeze_as_it_stands
from apps.demand.models import Demand
from apps.facilities.models import Area, Facility, ReferralRoute
from apps.inventory.models import EquipmentItem, InfrastructureHeld
from planner.settings import ROOT
from tests.api.register import make_person, make_register
from tests.apps.imports.uploading import applied, numbers, sent


@pytest.fixture
def register(db):
    return make_register()


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def frozen(area):
    return freeze_as_it_stands(area).case.to_json()


def upload(area, officer, document):
    return sent(
        json.dumps(document).encode(), area, officer, "case.json", kind="case",
    )  # fmt: skip


def test_the_case_of_a_register_changes_nothing_in_it(register, officer):
    found = upload(register.north, officer, frozen(register.north))

    assert found.state == "previewed"
    assert all(row[:4] == (0, 0, 0, 0) for row in numbers(found).values())


def test_the_case_of_the_invented_district_changes_nothing_in_it(db):
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    call_command("load_register", ROOT / "fixtures" / "demo", verbosity=0)
    district = Area.objects.get(code="sorrelwater")
    officer = make_person("health_officer", district)

    found = upload(district, officer, frozen(district))

    assert {file: row[:4] for file, row in numbers(found).items()} == {
        "areas.csv": (0, 0, 0, 0), "facilities.csv": (0, 0, 0, 0), "routes.csv": (0, 0, 0, 0),
    }  # fmt: skip


def test_what_a_case_says_otherwise_is_taken_over(register, officer):
    document = frozen(register.north)
    hill = next(site for site in document["sites"] if site["code"] == "hill")
    hill |= {"population": 13_000, "staff_hours": 700, "demand": {"haemoglobin": 321}}
    document["stock"][0] |= {"working": 2, "broken": 1}
    document["links"][0] |= {"hours": 5, "cost": 0.75}

    applied(upload(register.north, officer, document), officer)

    site = Facility.objects.get(code="hill")
    assert (site.population, site.testing_hours_per_year) == (13_000, 700)
    demand = Demand.objects.get(facility=site)
    assert (demand.tests_per_year, demand.basis) == (321, "imported")
    route = ReferralRoute.objects.get()
    assert (route.hours, float(route.cost_per_specimen)) == (5, 0.75)
    items = EquipmentItem.objects.filter(facility=site).order_by("code")
    assert list(items.values_list("code", "condition", "basis")) == [
        ("hill-001", "in_use", "observed"),
        ("hill-cuvette-photometer-1", "in_use", "imported"),
        ("hill-cuvette-photometer-2", "repairable", "imported"),
    ]


def test_the_same_case_once_more_changes_nothing(register, officer):
    document = frozen(register.north)
    document["stock"][0] |= {"working": 3, "broken": 2}
    document["sites"][0]["infrastructure"] = ["water"]
    applied(upload(register.north, officer, document), officer)

    again = upload(register.north, officer, document)

    assert all(row[:4] == (0, 0, 0, 0) for row in numbers(again).values())


def test_a_site_and_its_block_that_are_new_are_added(register, officer):
    document = frozen(register.north)
    document["areas"].append({"code": "lower", "name": "Lower block", "floor": 0})
    spring = {**document["sites"][0], "code": "spring", "name": "Spring", "area": "lower"}
    document["sites"].append({**spring, "infrastructure": ["water"]})

    applied(upload(register.north, officer, document), officer)

    site = Facility.objects.get(code="spring")
    assert (site.area.path, site.area.kind) == ("north/lower/", "block")
    assert InfrastructureHeld.objects.get(facility=site).presence == "present"


def test_what_the_register_has_beside_the_case_is_left_and_told_of(register, officer):
    document = frozen(register.north)
    document["stock"] = []
    document["sites"][0]["demand"] = document["sites"][1]["demand"] = {}

    found = upload(register.north, officer, document)

    assert found.notes == [
        "The case's tests, methods, device models and limits were not taken over: they are the"
        " catalogue's and the plan's.",
        "Skills were not taken over: a case says that one is there, not how many people hold it.",
        "Demand that the case does not have was left as it is: haemoglobin at ford, haemoglobin at"
        " hill.",
        f"{register.ford.name} (ford) and {register.hill.name} (hill) and another site of the"
        " register are at one place, (lat 1, lon 30).",
        "In the register and not in the case, left as they are: 1 cuvette-photometer at hill (in"
        " use).",
        "The register says all of this already: there is nothing to change.",
    ]
    assert EquipmentItem.objects.filter(code="hill-001").exists()


def test_hours_that_follow_from_courier_days_are_left_as_they_are(register, officer):
    document = frozen(register.north)
    ReferralRoute.objects.update(collection_weekdays="mon")

    found = upload(register.north, officer, document)

    assert "routes.csv" not in found.counts
    assert found.notes[2] == (
        "1 routes whose courier days are known were left as they are: their hours follow from the"
        " days."
    )


def test_a_case_with_mistakes_is_refused_with_their_places(register, officer):
    document = frozen(register.north)
    document["sites"][0]["latitude"] = 91

    found = upload(register.north, officer, document)

    assert found.state == "refused"
    assert found.message == (
        "case.json: sites[0].latitude: expected a number from -90 to 90, found 91. Correct the"
        " places named and read it again."
    )


def test_a_case_of_another_district_is_refused_row_by_row(register, officer):
    found = upload(register.north, officer, frozen(register.south))

    assert numbers(found)["facilities.csv"] == (0, 0, 0, 1, 0)
    assert not any("coast-001" in note or "photometer" in note for note in found.notes)
