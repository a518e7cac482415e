"""The register frozen into a case: everything in it, nothing guessed, in order of code."""

import json
from threading import Thread

import pytest
from django.db import connection

from apps.catalogue.models import Skill
from apps.coverage.adapters import LeftOut, Unknowns, catalogue, freeze
from apps.facilities.models import Facility
from planner.engine.case import Case, Limits
from planner.engine.errors import EngineError
from tests.apps.coverage.district import make_left_out, make_small_district
from tests.factories.catalogue import make_device_model, make_skill, make_test
from tests.factories.facilities import make_district, make_facility, make_route
from tests.factories.inventory import make_demand, make_infrastructure_held, make_item

LIMITS = Limits(
    capital=3000.0, earmarks={"maternal": 900.0}, recurrent=None, trainer_days=5.0, max_units=2
)


def frozen(area, **given):
    values = {"limits": LIMITS, "minimum_evidence": "B", "floors": {}, "title": "Next year"}
    return freeze(area, **{**values, **given})


def stock(area) -> list[tuple[str, str, int, int]]:
    entries = frozen(area).case.stock
    return [(entry.site, entry.model, entry.working, entry.broken) for entry in entries]


def test_a_district_becomes_the_case_that_its_rows_say(small):
    make_route(small.ford, small.hill, hours=3, cost_per_specimen="0.4")
    make_item(small.hill, small.spinner, "repairable")
    expected = {
        "format": "benchward-case",
        "version": 1,
        "title": "Next year",
        "currency": "EUR",
        "minimum_evidence": "B",
        "areas": [{"code": "upper", "name": "Upper block", "floor": 0.25}],
        "programmes": [
            {"code": "general", "name": "General"},
            {"code": "maternal", "name": "Maternal"},
        ],
        "skills": [
            {"code": "staining", "name": "Staining", "training_cost": 200.5, "trainer_days": 2,
             "supervision_cost": 30},
        ],
        "infrastructure": [
            {"code": "water", "name": "Running water", "cost": {"1": 500, "2": 700}},
        ],
        "device_models": [
            {"code": "spinner", "name": "Spinner", "evidence": "B", "price": 900,
             "annual_cost": 50, "hours_per_year": 1500, "repair_cost": 120.25,
             "programmes": ["maternal"],
             "serves": [{"class": "centrifuge", "specs": {"heads": [24, 36], "rcf_g": 12000}}]},
        ],
        "tests": [
            {"code": "haematocrit", "name": "Packed cell volume", "programme": "general",
             "weight": 1.5, "max_transport_hours": 4},
        ],
        "methods": [
            {"code": "spun", "test": "haematocrit", "sensitivity": 0.95, "staff_hours": 0.1,
             "consumable_cost": 0.25, "skills": ["staining"], "infrastructure": ["water"],
             "needs": [{"class": "centrifuge", "hours": 0.05,
                        "require": {"rcf_g": {"min": 10000}}}]},
        ],
        "sites": [
            {"code": "ford", "name": "Ford", "area": "upper", "level": 1, "latitude": 0,
             "longitude": 0, "population": 5000, "staff_hours": 100, "skills": [],
             "infrastructure": [], "demand": {"haematocrit": 500}},
            {"code": "hill", "name": "Hill", "area": "upper", "level": 2, "latitude": 1.5,
             "longitude": 30.25, "population": 12000, "staff_hours": 1000,
             "skills": ["staining"], "infrastructure": ["water"],
             "demand": {"haematocrit": 500}},
            {"code": "mill", "name": "Mill", "area": "upper", "level": 1, "latitude": 0,
             "longitude": 0, "population": 800, "staff_hours": 50, "skills": [],
             "infrastructure": [], "demand": {"haematocrit": 500}},
        ],
        "stock": [{"site": "hill", "model": "spinner", "working": 1, "broken": 1}],
        "links": [{"from": "ford", "to": "hill", "hours": 3, "cost": 0.4}],
        "limits": {"capital": 3000, "earmarks": {"maternal": 900}, "recurrent": None,
                   "trainer_days": 5, "max_units": 2},
    }  # fmt: skip

    case = frozen(small.north, floors={"upper": 0.25}).case

    # All that version 2 may say besides has its neutral value: the register knows none of it.
    assert case == Case.read(json.dumps(expected)).model_copy(update={"version": 2})


def test_the_same_rows_written_in_another_order_give_the_same_case(small):
    before = frozen(small.north).case
    for site in (small.mill, small.ford, small.hill):
        demand = site.demands.get()
        demand.delete()
        make_demand(site, small.haematocrit, demand.tests_per_year)

    assert frozen(small.north).case.sha256() == before.sha256()


@pytest.mark.parametrize(
    ("condition", "working", "broken"),
    [
        ("in_use", 1, 0),
        ("idle", 1, 0),
        ("repairable", 0, 1),
        ("incomplete", 0, 1),
    ],
)
def test_units_that_work_and_units_that_can_be_put_right_are_stock(
    small, condition, working, broken
):
    make_item(small.mill, small.spinner, condition)

    assert stock(small.north)[1:] == [("mill", "spinner", working, broken)]


@pytest.mark.parametrize("condition", ["beyond_repair", "awaiting", "unknown"])
def test_other_units_are_no_stock(small, condition):
    make_item(small.mill, small.spinner, condition)

    assert [entry[0] for entry in stock(small.north)] == ["hill"]


def test_what_nobody_knows_is_listed_and_stands_in_the_case_as_no(small):
    make_item(small.mill, small.spinner, "unknown")
    make_infrastructure_held(small.ford, small.water, "unknown")

    found = frozen(small.north)

    assert found.unknowns == Unknowns(
        skills=frozenset({("ford", "staining")}),
        infrastructure=frozenset({("ford", "water")}),
        units=frozenset({("mill", "spinner")}),
    )
    assert [site.skills for site in found.case.sites] == [(), ("staining",), ()]


def test_sites_whose_numbers_are_blank_are_left_out_with_what_to_ask(small):
    make_left_out(small)
    make_item(Facility.objects.get(code="blank"), small.spinner)

    found = frozen(small.north)

    assert found.left_out == (
        LeftOut("blank", "Ask how many people live in the catchment of Blank"),
        LeftOut("idle", "Ask how many staff hours a year Idle can give to testing"),
    )
    assert [site.code for site in found.case.sites] == ["ford", "hill", "mill"]
    assert [entry.site for entry in found.case.stock] == ["hill"]
    assert found.case.links == ()


def test_nobody_and_no_hours_are_numbers_like_others(small):
    make_facility("empty", small.upper, population=0, testing_hours_per_year=0)

    assert frozen(small.north).left_out == ()


def test_closed_facilities_and_other_districts_are_not_in_the_case(small):
    small.mill.closed_on = "2026-01-15"
    small.mill.save()
    # Its code begins as north does.
    coast = make_facility("coast", make_district("northern"))
    make_route(small.hill, coast, hours=1)

    case = frozen(small.north).case

    assert [site.code for site in case.sites] == ["ford", "hill"]
    assert case.links == ()


def test_the_district_is_an_area_of_its_own_where_facilities_hang_on_it(small):
    make_facility("town", small.north)

    areas = frozen(small.north, floors={"north": 0.5}).case.areas

    assert [(area.code, area.floor) for area in areas] == [("north", 0.5), ("upper", 0.0)]


def test_a_demand_of_zero_is_as_none(small):
    make_demand(small.hill, make_test("glucose"), 0)

    assert frozen(small.north).case.sites[1].demand == {"haematocrit": 500.0}


def test_a_district_without_any_complete_facility_is_refused_with_what_to_do(db):
    south = make_district("south")
    make_facility("coast", south, population=None)

    with pytest.raises(EngineError) as refusal:
        frozen(south)

    assert str(refusal.value) == (
        "No facility of South has both its population and its testing hours. "
        "Enter them for at least one facility, then try again."
    )


@pytest.mark.parametrize("more", [0, 5])
def test_a_district_freezes_in_the_same_number_of_queries_whatever_its_size(
    small, django_assert_num_queries, more
):
    for number in range(more):
        site = make_facility(f"site-{number}", small.upper)
        make_item(site, make_device_model(f"model-{number}"))
        make_demand(site, small.haematocrit, 10)

    with django_assert_num_queries(26):
        frozen(small.north)


@pytest.mark.postgres
@pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PLANNER_TEST_DATABASE_URL")
@pytest.mark.django_db(transaction=True)
def test_a_case_shows_one_moment_even_while_somebody_writes(monkeypatch):
    small, read_skills = make_small_district(), catalogue.skills

    def write() -> None:
        make_skill("culture")
        connection.close()

    def skills_after_a_write() -> tuple:
        writer = Thread(target=write)
        writer.start()
        writer.join()
        return read_skills()

    monkeypatch.setattr(catalogue, "skills", skills_after_a_write)

    assert [skill.code for skill in frozen(small.north).case.skills] == ["staining"]
    assert Skill.objects.count() == 2
