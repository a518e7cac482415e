"""Where the share of people who have what a test looks for is said, and by whom."""

import pytest
from django.db import IntegrityError, transaction

from tests.factories.catalogue import make_test
from tests.factories.demand import make_prevalence
from tests.factories.facilities import make_block, make_district, make_facility


@pytest.fixture
def hill(db):
    return make_facility("hill", make_block("upper", make_district("north")))


@pytest.fixture
def malaria(db):
    return make_test("malaria")


def test_a_prevalence_holds_at_a_facility_or_in_an_area(hill, malaria):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_prevalence(malaria, 0.1, facility=hill, area=hill.area)

    make_prevalence(malaria, 0.1, facility=hill)
    make_prevalence(malaria, 0.1, area=hill.area)
    make_prevalence(malaria, 0.1)


@pytest.mark.parametrize("where", ["facility", "area", "everywhere"])
def test_there_is_one_prevalence_of_a_test_in_a_place(hill, malaria, where):
    place = {"facility": {"facility": hill}, "area": {"area": hill.area}, "everywhere": {}}[where]
    make_prevalence(malaria, 0.1, **place)

    with pytest.raises(IntegrityError), transaction.atomic():
        make_prevalence(malaria, 0.2, **place)


@pytest.mark.parametrize(
    ("low", "high"), [(0.11, 0.2), (0.05, 0.09), (0.05, None), (None, 0.2), (0.2, 0.05)]
)
def test_a_prevalence_lies_in_its_range_of_two_ends(malaria, low, high):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_prevalence(malaria, 0.1, low=low, high=high)


@pytest.mark.parametrize(("low", "high"), [(0.1, 0.1), (0.0, 1.0), (None, None)])
def test_a_prevalence_at_an_end_of_its_range_or_without_one_is_taken(malaria, low, high):
    assert make_prevalence(malaria, 0.1, low=low, high=high).share == 0.1
