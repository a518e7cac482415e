"""An uploaded table of travel times: looked at first, then taken over whole or not at all."""

import pytest
from django.core.exceptions import PermissionDenied

from apps.audit.models import Entry
from apps.facilities.models import TravelTime
from apps.imports.services import LoadError, load_travel_times, preview_travel_times
from tests.factories.accounts import make_person
from tests.factories.facilities import (
    make_block,
    make_district,
    make_facility,
    make_travel_time,
)

HEAD = "origin,destination,mode,season,hours,source,measured_on\n"


@pytest.fixture
def north(db):
    north = make_district("north")
    block = make_block("upper", north)
    for code in ("hill", "ford"):
        make_facility(code, block)
    make_facility("coast", make_district("south"))
    return north


@pytest.fixture
def officer(north):
    officer = make_person(role="health_officer")
    officer.stewardships.create(area=north)
    return officer


def upload(rows: str) -> bytes:
    return (HEAD + rows).encode()


def stored() -> list[tuple]:
    return list(
        TravelTime.objects.values_list("origin__code", "destination__code", "season", "hours")
    )


def hill_to_ford(north, **values):
    sites = {site.code: site for site in north.children.get().facilities.all()}
    return make_travel_time(sites["hill"], sites["ford"], **values)


def test_a_look_says_of_each_row_whether_it_is_new_changed_or_the_same(north, officer):
    hill_to_ford(north, hours=1, source="a driver")
    hill_to_ford(north, hours=2, source="a driver", season="wet")
    content = upload(
        "hill,ford,unpaved,dry,1.5,a driver,\n"
        "hill,ford,unpaved,wet,2,a driver,\n"
        "ford,hill,walk,dry,3,the nurse,2026-03-01\n"
    )

    found = preview_travel_times(content=content, district=north, user=officer)

    assert [(row.line, row.does, row.before, row.hours) for row in found.rows] == [
        (2, "changed", 1.0, 1.5),
        (3, "same", 2.0, 2.0),
        (4, "new", None, 3.0),
    ]
    assert (found.new, found.changed, found.same, found.problems) == (1, 1, 1, ())
    assert stored() == [("hill", "ford", "dry", 1.0), ("hill", "ford", "wet", 2.0)]


def test_a_row_with_another_source_only_is_changed(north, officer):
    hill_to_ford(north, hours=1, source="a driver")

    found = preview_travel_times(
        content=upload("hill,ford,unpaved,dry,1,a stopwatch,\n"), district=north, user=officer
    )

    assert [row.does for row in found.rows] == ["changed"]


def test_what_was_looked_at_is_taken_over_and_recorded(north, officer):
    hill_to_ford(north, hours=1, source="a driver")

    load_travel_times(
        content=upload("hill,ford,unpaved,dry,1.5,a driver,\nford,hill,walk,dry,3,the nurse,\n"),
        district=north,
        by=officer,
    )

    assert stored() == [("ford", "hill", "dry", 3.0), ("hill", "ford", "dry", 1.5)]
    entry = Entry.objects.get(action="travel_times.loaded")
    assert (entry.by, entry.object_key) == (officer, "north")
    assert entry.before == {"hill, ford, unpaved, dry": {"hours": 1.0}}
    assert entry.after == {
        "rows": 2,
        "created": 1,
        "changed": 1,
        "removed": 0,
        "changed_to": {"hill, ford, unpaved, dry": {"hours": 1.5}},
    }


MISTAKES = [
    ("hill,hill,walk,dry,1,me,", "origin and destination are the same facility. Name two, or"
     " remove the row."),
    ("hill,ford,boat,dry,1,me,", 'mode is "boat", expected one of walk, unpaved, paved.'),
    ("hill,ford,walk,harvest,1,me,", 'season is "harvest", expected one of dry, wet.'),
    ("hill,ford,walk,dry,-1,me,", 'hours is "-1", expected a number from 0 to 336.'),
    ("hill,ford,walk,dry,400,me,", 'hours is "400", expected a number from 0 to 336.'),
    ("hill,ford,walk,dry,1,,", "source is empty, expected text of at most 200 characters."),
    ("hill,fjord,walk,dry,1,me,", 'destination is "fjord", which is none of the facilities;'
     " did you mean ford?"),
    # A facility of another district is as absent as one that is not there.
    ("hill,coast,walk,dry,1,me,", 'destination is "coast", which is none of the facilities.'),
]  # fmt: skip


@pytest.mark.parametrize(("row", "said"), MISTAKES)
def test_a_row_that_cannot_be_taken_is_named_by_its_line_and_nothing_is_loaded(
    north, officer, row, said
):
    content = upload(f"ford,hill,walk,dry,3,the nurse,\n{row}\n")

    found = preview_travel_times(content=content, district=north, user=officer)
    with pytest.raises(LoadError) as refusal:
        load_travel_times(content=content, district=north, by=officer)

    assert [str(problem) for problem in found.problems] == [f"travel_times.csv:3: {said}"]
    assert not found.can_be_applied
    assert refusal.value.problems == found.problems
    assert stored() == []


def test_all_mistakes_are_told_at_once(north, officer):
    content = upload("hill,ford,boat,dry,x,me,\nhill,nowhere,walk,dry,1,me,\n")

    found = preview_travel_times(content=content, district=north, user=officer)

    assert [problem.line for problem in found.problems] == [2, 2, 3]


def test_a_file_without_rows_or_with_nothing_new_is_not_offered(north, officer):
    hill_to_ford(north, hours=1, source="a driver")

    for rows in ("", "hill,ford,unpaved,dry,1,a driver,\n"):
        found = preview_travel_times(content=upload(rows), district=north, user=officer)
        assert not found.can_be_applied


def test_an_auditor_may_neither_try_nor_load(north):
    auditor = make_person(role="auditor")
    auditor.stewardships.create(area=north)

    with pytest.raises(PermissionDenied):
        preview_travel_times(content=upload(""), district=north, user=auditor)
    with pytest.raises(PermissionDenied):
        load_travel_times(content=upload(""), district=north, by=auditor)


def test_somebody_in_charge_of_a_block_cannot_change_ways_beyond_it(north):
    make_facility("town", north)
    person = make_person(role="in_charge")
    person.stewardships.create(area=north.children.get())

    found = preview_travel_times(
        content=upload("hill,town,walk,dry,1,me,\n"), district=north, user=person
    )

    assert [problem.text for problem in found.problems] == [
        'destination is "town", which is none of the facilities.'
    ]
