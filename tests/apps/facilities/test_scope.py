"""Who sees which areas and facilities: the tree that every list and page goes by."""

import pytest

from apps.facilities.models import Area, Facility
from apps.facilities.selectors import (
    areas_for,
    district_of,
    districts_for,
    facilities_for,
    facility_for,
    routes_from,
)
from tests.factories.accounts import make_person
from tests.factories.facilities import make_block, make_district, make_facility, make_route


@pytest.fixture(autouse=True)
def _tree(db):
    """north: upper (hill), lower (ford), and town directly; northern: rim (edge)."""
    north, northern = make_district("north"), make_district("northern")
    make_facility("town", north)
    make_facility("hill", make_block("upper", north))
    make_facility("ford", make_block("lower", north))
    make_facility("edge", make_block("rim", northern))


def person(*areas: str, **values):
    made = make_person(**values)
    for code in areas:
        made.stewardships.create(area=Area.objects.get(code=code))
    return made


def codes(rows) -> list[str]:
    return sorted(row.code for row in rows)


@pytest.mark.parametrize(
    ("stewarded", "areas", "districts", "facilities"),
    [
        ([], [], [], []),
        # north is the beginning of northern, but not above it.
        (["north"], ["lower", "north", "upper"], ["north"], ["ford", "hill", "town"]),
        (["upper"], ["upper"], ["north"], ["hill"]),
        (["upper", "rim"], ["rim", "upper"], ["north", "northern"], ["edge", "hill"]),
    ],
)
def test_somebody_sees_what_lies_in_and_below_the_areas_stewarded(
    stewarded, areas, districts, facilities
):
    user = person(*stewarded)

    assert codes(areas_for(user)) == areas
    assert codes(districts_for(user)) == districts
    assert codes(facilities_for(user)) == facilities


def test_an_administrator_sees_everything_without_stewarding():
    user = person(is_superuser=True)

    assert codes(areas_for(user)) == ["lower", "north", "northern", "rim", "upper"]
    assert codes(districts_for(user)) == ["north", "northern"]
    assert codes(facilities_for(user)) == ["edge", "ford", "hill", "town"]


def test_a_facility_out_of_reach_is_as_absent_as_one_that_is_not_there():
    user = person("upper")

    assert facility_for(user, "hill").name == "Hill"
    for code in ("ford", "nowhere"):
        with pytest.raises(Facility.DoesNotExist):
            facility_for(user, code)


def test_a_closed_facility_is_not_shown():
    Facility.objects.filter(code="hill").update(closed_on="2026-01-15")

    assert codes(facilities_for(person("north"))) == ["ford", "town"]


@pytest.mark.parametrize("code", ["north", "upper"])
def test_the_district_of_an_area_is_found_from_wherever_it_hangs(code):
    assert district_of(Area.objects.get(code=code)).code == "north"


def test_an_area_in_no_district_is_named_with_what_to_do():
    adrift = Area.objects.create(code="adrift", name="Adrift", kind="block")

    with pytest.raises(Area.DoesNotExist) as refusal:
        district_of(adrift)

    assert str(refusal.value) == (
        "The area adrift lies in no district. Give it a parent that does."
    )


def test_routes_come_quickest_first():
    hill, ford, town = (Facility.objects.get(code=code) for code in ("hill", "ford", "town"))
    make_route(hill, town, hours=3)
    make_route(hill, ford, hours=2)
    make_route(ford, hill, hours=1)

    assert [route.destination.code for route in routes_from(hill)] == ["ford", "town"]


def test_scope_takes_two_queries_however_many_areas_are_stewarded(django_assert_num_queries):
    user = person("upper", "lower", "rim")

    with django_assert_num_queries(2):
        assert [facility.area.name for facility in facilities_for(user)]
