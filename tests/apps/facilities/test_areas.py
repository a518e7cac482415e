"""Facts about areas and routes that the database itself keeps true."""

import pytest
from django.db import IntegrityError, transaction

from tests.factories.facilities import make_block, make_district, make_facility, make_route


@pytest.fixture
def hill(db):
    return make_facility("hill", make_block("upper", make_district("north")))


def test_the_path_of_an_area_lists_the_codes_from_the_root(hill):
    assert (hill.area.path, hill.area.parent.path) == ("north/upper/", "north/")


@pytest.mark.parametrize("values", [{"hours": -0.01}, {"cost_per_specimen": "-0.01"}])
def test_a_route_takes_and_costs_no_less_than_nothing(hill, values):
    ford = make_facility("ford", hill.area)

    with pytest.raises(IntegrityError), transaction.atomic():
        make_route(hill, ford, **values)

    make_route(hill, ford, hours=0, cost_per_specimen=0)


def test_a_route_joins_two_facilities(hill):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_route(hill, hill)


def test_there_is_one_route_from_one_facility_to_another_and_one_back(hill):
    ford = make_facility("ford", hill.area)
    make_route(hill, ford)
    make_route(ford, hill)

    with pytest.raises(IntegrityError), transaction.atomic():
        make_route(hill, ford)
