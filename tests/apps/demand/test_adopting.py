"""Adopting estimates: confirmed, recorded in one entry, and taken back from it."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from apps.audit.models import Entry
from apps.demand.exports import estimates_csv
from apps.demand.models import Demand
from apps.demand.selectors import Assumptions, adoption_of, estimates_in
from apps.demand.services import adopt, restore
from tests.factories.accounts import make_person
from tests.factories.catalogue import make_test
from tests.factories.demand import make_rate, make_statistic
from tests.factories.facilities import make_block, make_district, make_facility
from tests.factories.inventory import make_demand

PLAIN = Assumptions(
    year=2026, growth_per_year=0, quality_control_share=0, repeat_share=0, wastage_share=0
)


@pytest.fixture
def north(db):
    return make_district("north")


@pytest.fixture
def hill(north):
    """120.4 smears estimated where 100 are adopted; 30 strips estimated where none are."""
    hill = make_facility("hill", make_block("upper", north), population=301)
    smear = make_test("smear")
    make_demand(hill, smear, 100)
    make_rate(smear, 0.4)
    make_statistic(hill, make_test("strip"), 30)
    return hill


@pytest.fixture
def officer(north):
    person = make_person("officer", role="health_officer")
    person.stewardships.create(area=north)
    return person


def estimated(user, district):
    return estimates_in(user, district, assumptions=PLAIN)


def adopted() -> dict[str, tuple[float, str, int]]:
    rows = Demand.objects.values_list("test__code", "tests_per_year", "basis", "year")
    return {test: row for test, *row in map(list, rows)}


def do_adopt(user, district):
    estimates = estimated(user, district)
    return adopt(
        district=district, estimates=estimates, by=user, seen=adoption_of(estimates).digest,
        why="yearly review",
    )  # fmt: skip


AFTER = {"smear": [120, "morbidity", 2026], "strip": [30, "service_statistics", 2026]}
BEFORE = {"smear": [100, "demo", 2026]}


def test_estimating_changes_nothing(hill, north, officer):
    estimated(officer, north)

    assert adopted() == BEFORE
    assert not Entry.objects.exists()


def test_adopting_writes_the_figure_to_go_by_in_whole_tests_with_its_basis(hill, north, officer):
    adoption = do_adopt(officer, north)

    assert adopted() == AFTER
    assert (len(adoption.rows), adoption.before, adoption.after) == (2, 100, 150)


def test_one_entry_holds_every_row_before_and_after(hill, north, officer):
    adoption = do_adopt(officer, north)

    entry = Entry.objects.get()
    assert (entry.action, entry.by, entry.object_key, entry.why) == (
        "demand.adopted", officer, "north", "yearly review",
    )  # fmt: skip
    assert entry.before == {"rows": {"hill/smear": [100, "demo", 2026], "hill/strip": None}}
    assert entry.after == {
        "area": "north",
        "digest": adoption.digest,
        "rows": {
            "hill/smear": [120, "morbidity", 2026],
            "hill/strip": [30, "service_statistics", 2026],
        },
    }


def test_what_is_adopted_already_is_not_adopted_again(hill, north, officer):
    do_adopt(officer, north)

    with pytest.raises(ValidationError, match="Nothing would change"):
        do_adopt(officer, north)
    assert Entry.objects.count() == 1


def test_figures_that_changed_since_they_were_seen_are_not_adopted(hill, north, officer):
    seen = adoption_of(estimated(officer, north)).digest
    hill.servicestatistics.update(recorded_tests=31)

    with pytest.raises(ValidationError, match="have changed since you looked"):
        adopt(district=north, estimates=estimated(officer, north), by=officer, seen=seen)
    assert adopted() == BEFORE


@pytest.mark.parametrize("role", ["auditor", "in_charge"])
def test_some_roles_may_neither_adopt_nor_take_back(hill, north, officer, role):
    do_adopt(officer, north)
    other = make_person("other", role=role)
    other.stewardships.create(area=north)

    with pytest.raises(PermissionDenied):
        adopt(district=north, estimates=[], by=other, seen="")
    with pytest.raises(PermissionDenied):
        restore(district=north, by=other)
    assert adopted() == AFTER


def test_taking_back_gives_every_row_its_former_figure(hill, north, officer):
    do_adopt(officer, north)

    assert restore(district=north, by=officer) == 2

    assert adopted() == BEFORE
    latest = Entry.objects.first()
    assert (latest.action, latest.after["rows"]) == (
        "demand.restored", {"hill/smear": [100, "demo", 2026], "hill/strip": None},
    )  # fmt: skip


def test_an_adoption_is_taken_back_once(hill, north, officer):
    do_adopt(officer, north)
    restore(district=north, by=officer)

    with pytest.raises(ValidationError, match="No adoption of estimates is left"):
        restore(district=north, by=officer)


def test_an_adoption_after_one_was_taken_back_can_be_taken_back_too(hill, north, officer):
    for _ in range(2):
        do_adopt(officer, north)
        restore(district=north, by=officer)

    assert adopted() == BEFORE


def test_rows_changed_after_the_adoption_stay_when_it_is_taken_back(hill, north, officer):
    do_adopt(officer, north)
    Demand.objects.filter(test__code="smear").update(tests_per_year=7)

    assert restore(district=north, by=officer) == 1

    assert adopted() == {"smear": [7, "morbidity", 2026]}


def test_nobody_takes_back_what_concerns_sites_they_do_not_see(hill, north, officer):
    do_adopt(officer, north)
    neighbour = make_person("neighbour", role="health_officer")
    neighbour.stewardships.create(area=make_block("lower", north))

    with pytest.raises(ValidationError, match="outside your areas"):
        restore(district=north, by=neighbour)
    assert adopted() == AFTER


def test_another_district_has_nothing_to_take_back(hill, north, officer):
    do_adopt(officer, north)

    with pytest.raises(ValidationError, match="No adoption of estimates is left"):
        restore(district=make_district("south"), by=None)


def test_the_file_has_a_line_for_each_cell_and_no_formula(hill, north, officer):
    hill.name = "=Hill"
    hill.save()

    lines = estimates_csv(estimated(officer, north)).splitlines()

    assert len(lines) == 3
    assert lines[1] == (
        "hill,'=Hill,upper,1,smear,Smear,general,100.0,demo,2026,301.0,,,120.4,morbidity,120.4,"
        "no,,1.2,no"
    )
