"""Where the share of people who have what a test looks for is said, and by whom."""

import pytest
from django.db import IntegrityError, transaction

from apps.demand.selectors.prevalences import prevalences_at
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


def known(site) -> dict[str, tuple[float, str]]:
    return {
        each.row.test.code: (each.row.share, each.nearness.name.lower())
        for each in prevalences_at(site).values()
    }


def test_the_nearest_prevalence_counts(hill, malaria):
    """Said in turn for everywhere, the district, the block and the facility itself."""
    district = hill.area.parent

    said = [{}, {"area": district}, {"area": hill.area}, {"facility": hill}]
    names = ["everywhere", "district", "block", "facility"]
    for share, place, name in zip((0.1, 0.2, 0.3, 0.4), said, names, strict=True):
        make_prevalence(malaria, share, **place)
        assert known(hill) == {"malaria": (share, name)}


def test_what_is_said_of_other_places_does_not_count_and_leaves_it_unknown(hill, malaria):
    # The code of its district begins as that of this one does.
    make_prevalence(malaria, 0.2, area=make_district("northern"))
    make_prevalence(malaria, 0.3, area=make_block("lower", hill.area.parent))
    make_prevalence(malaria, 0.4, facility=make_facility("ford", hill.area))

    assert known(hill) == {}


def test_each_test_has_its_own_and_all_of_them_take_one_query(
    hill, malaria, django_assert_num_queries
):
    make_prevalence(malaria, 0.1)
    make_prevalence(make_test("hiv"), 0.02, area=hill.area)

    with django_assert_num_queries(1):
        found = prevalences_at(hill)

    assert sorted(each.row.share for each in found.values()) == [0.02, 0.1]
