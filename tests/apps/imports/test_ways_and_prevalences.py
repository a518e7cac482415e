"""Courier days, travel times and prevalences in a register folder."""

import pytest

from apps.demand.models import ExpectedPrevalence
from apps.facilities.models import ReferralRoute, TravelTime
from apps.imports.services import LoadError, load_catalogue, load_register
from tests.apps.imports.folders import CATALOGUE, HEAD, REGISTER, SOURCED, write_folder

COLUMNS = (
    "origin,destination,hours,cost_per_specimen,"
    "collection_weekdays,collection_hour,travel_hours,queue_hours\n"
)
PREVALENCES = f"code,test,area,facility,share,low,high,{HEAD}\n"


@pytest.fixture
def folder(db, tmp_path):
    load_catalogue(folder=write_folder(tmp_path / "catalogue", CATALOGUE), by=None)
    return tmp_path / "register"


def load(folder, **files):
    return load_register(folder=write_folder(folder, REGISTER, **files), by=None)


def problems(folder, **files) -> list[str]:
    with pytest.raises(LoadError) as refusal:
        load(folder, **files)
    return [str(problem) for problem in refusal.value.problems]


def test_a_route_may_say_when_the_courier_comes(folder):
    load(folder, routes=f"{COLUMNS}ford,hill,,0.4,mon;thu,14.5,1.25,2\n")

    route = ReferralRoute.objects.get()
    assert (route.hours, route.collection_weekdays, route.collection_hour) == (
        None,
        "mon;thu",
        14.5,
    )
    assert (route.travel_hours, route.queue_hours) == (1.25, 2)


def test_a_file_without_the_courier_leaves_what_is_known_of_it(folder):
    load(folder, routes=f"{COLUMNS}ford,hill,,0.4,mon;thu,14.5,1.25,2\n")
    load(folder, routes="origin,destination,hours,cost_per_specimen\nford,hill,9,0.5\n")

    route = ReferralRoute.objects.get()
    assert (route.hours, float(route.cost_per_specimen)) == (9, 0.5)
    assert (route.collection_weekdays, route.travel_hours) == ("mon;thu", 1.25)


@pytest.mark.parametrize("days", ["monday", "thu;mon", "mon;mon", "mon,", "0"])
def test_days_that_cannot_be_read_are_refused_with_how_they_are_written(folder, days):
    assert problems(folder, routes=f'{COLUMNS}ford,hill,,0.4,"{days}",,,\n') == [
        f'routes.csv:2: collection_weekdays is "{days}", expected days on which the courier'
        " collects, as mon;thu; blank: not known."
    ]


def test_travel_times_come_in_with_their_source(folder):
    load(
        folder,
        travel_times="origin,destination,mode,season,hours,source,measured_on\n"
        "ford,hill,unpaved,wet,2.5,driver's log,2026-07-01\n",
    )

    time = TravelTime.objects.get()
    assert (time.origin.code, time.destination.code) == ("ford", "hill")
    assert (time.mode, time.season, time.hours, time.source) == (
        "unpaved", "wet", 2.5, "driver's log",
    )  # fmt: skip


def test_prevalences_come_in_for_a_facility_an_area_or_everywhere(folder):
    load(
        folder,
        prevalences=f"{PREVALENCES}"
        f"a,haematocrit,,,0.2,0.1,0.3,{SOURCED}\n"
        f"b,haematocrit,upper,,0.25,,,{SOURCED}\n"
        f"c,haematocrit,,hill,0.3,,,{SOURCED}\n",
    )

    assert [
        (each.code, each.area and each.area.code, each.facility and each.facility.code, each.share)
        for each in ExpectedPrevalence.objects.all()
    ] == [("a", None, None, 0.2), ("b", "upper", None, 0.25), ("c", None, "hill", 0.3)]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("haematocrit,upper,hill,0.2,,", "area and facility are both named. Leave one empty, or"
         " both for everywhere."),
        ("haematocrit,,,0.2,0.1,", "low and high are the ends of one range. Give both, or"
         " neither."),
        ("haematocrit,,,0.2,0.21,0.3", "share is 0.2, expected one from low 0.21 to high 0.3."),
        ("haematocrit,,,20,,", 'share is "20", expected a number from 0 to 1.'),
    ],
)  # fmt: skip
def test_a_prevalence_that_cannot_be_is_refused(folder, row, said):
    assert problems(folder, prevalences=f"{PREVALENCES}a,{row},{SOURCED}\n") == [
        f"prevalences.csv:2: {said}"
    ]


def test_a_second_prevalence_in_the_same_place_is_refused_within_the_file_and_beside_it(folder):
    load(folder, prevalences=f"{PREVALENCES}old,haematocrit,upper,,0.2,,,{SOURCED}\n")

    said = problems(
        folder,
        prevalences=f"{PREVALENCES}a,haematocrit,upper,,0.25,,,{SOURCED}\n"
        f"b,haematocrit,,,0.25,,,{SOURCED}\nc,haematocrit,,,0.3,,,{SOURCED}\n",
    )

    assert said == [
        "prevalences.csv:2: the test has a prevalence there already, old. Keep one of the two.",
        "prevalences.csv:4: the test has a prevalence there already, b. Keep one of the two.",
    ]
