"""What the tables refuse: figures that would be slips, and two rows for one fact."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.factories.catalogue import make_test
from tests.factories.demand import make_consumption, make_rate, make_statistic
from tests.factories.facilities import make_district, make_facility
from tests.factories.inventory import make_demand


@pytest.fixture
def smear(db):
    return make_test("smear")


@pytest.fixture
def hill(db):
    return make_facility("hill", make_district("north"))


@pytest.mark.parametrize(("days", "possible"), [(372, True), (373, False)])
def test_stock_is_out_for_at_most_the_days_of_the_period(hill, smear, days, possible):
    def make():
        with transaction.atomic():
            return make_consumption(hill, smear, 10, period_months=12, days_out_of_stock=days)

    if possible:
        assert make().days_out_of_stock == days
    else:
        with pytest.raises(IntegrityError, match="stock_is_out_no_longer_than_the_period"):
            make()


@pytest.mark.parametrize(
    ("field", "most", "slip"),
    [
        ("recorded_tests", 1e9, 1e9 + 1000),
        ("completeness_share", 1, 1.01),
        ("days_without", 366, 367),
    ],
)
def test_a_statistic_has_limits_beyond_which_it_is_a_slip(hill, smear, field, most, slip):
    row = make_statistic(hill, smear, 10)

    setattr(row, field, most)
    row.full_clean()
    setattr(row, field, slip)
    with pytest.raises(ValidationError) as refused:
        row.full_clean()

    assert list(refused.value.message_dict) == [field]


@pytest.mark.parametrize("field", ["episodes_per_person_year", "tests_per_episode"])
def test_a_rate_for_a_thousand_people_is_a_slip(smear, field):
    rate = make_rate(smear, 1)

    setattr(rate, field, 101)
    with pytest.raises(ValidationError) as refused:
        rate.full_clean()

    assert list(refused.value.message_dict) == [field]


def test_a_test_has_one_rate_in_a_place(smear, hill):
    places = [{}, {"level": 2}, {"area": hill.area}, {"area": hill.area, "level": 2}]
    for number, place in enumerate(places):
        make_rate(smear, 1, code=f"first-{number}", **place)

    for number, place in enumerate(places):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_rate(smear, 1, code=f"second-{number}", **place)


def test_a_facility_counts_a_test_once_a_year(hill, smear):
    make_statistic(hill, smear, 1, year=2025)
    make_statistic(hill, smear, 1, year=2026)

    with pytest.raises(IntegrityError), transaction.atomic():
        make_statistic(hill, smear, 2, year=2026)


def test_rows_say_what_they_are(hill, smear):
    made = [
        make_statistic(hill, smear, 12.5), make_consumption(hill, smear, 3),
        make_rate(smear, 1, code="smear-everywhere"), make_demand(hill, smear, 40),
    ]  # fmt: skip

    assert [str(each) for each in made] == [
        "Smear at Hill, 2025: 12.5 recorded", "strips for Smear at Hill, 2025",
        "smear-everywhere", "Smear at Hill: 40 a year",
    ]  # fmt: skip
