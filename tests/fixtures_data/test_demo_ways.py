"""Travel times and prevalences of the invented district: of one piece with its routes."""

from collections import Counter, defaultdict

import pytest

from planner.engine.access import geodesic_km, looks_swapped, worst_case_wait_hours
from tests.fixtures_data.tables import catalogue, demo

DAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
ROUNDS = [route for route in demo("routes") if route["collection_weekdays"]]
SEASONS = ("dry", "wet")


def times(mode: str) -> dict[tuple[str, str], dict[str, float]]:
    found: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
    for row in demo("travel_times"):
        if row["mode"] == mode:
            found[row["origin"], row["destination"]][row["season"]] = float(row["hours"])
    return found


def test_a_good_part_of_the_routes_knows_its_courier_and_a_good_part_does_not():
    assert len(ROUNDS) == 52
    assert len(demo("routes")) == 117


@pytest.mark.parametrize("route", ROUNDS, ids=lambda r: f"{r['origin']} {r['destination']}")
def test_the_pieces_of_a_route_come_to_its_stated_hours(route):
    """The longest gap of the week and the slower season, in decimal hours."""
    days = [DAYS.index(day) for day in route["collection_weekdays"].split(";")]
    hour = float(route["collection_hour"]) if route["collection_hour"] else None
    wait = worst_case_wait_hours(days, pickup_hour=hour, taken_from_hour=8, taken_to_hour=16)
    way = max(times("unpaved")[route["origin"], route["destination"]].values())

    assert round(wait + way, 1) == float(route["hours"])


def test_every_measured_way_was_measured_in_both_seasons_and_the_rains_are_no_quicker():
    for mode in ("unpaved", "walk"):
        for pair, seasons in times(mode).items():
            assert tuple(sorted(seasons)) == SEASONS, pair
            assert seasons["wet"] >= seasons["dry"] > 0, pair


def test_nobody_walks_as_fast_as_a_vehicle_nor_in_a_straight_line():
    place = {
        row["code"]: (float(row["latitude"]), float(row["longitude"])) for row in demo("facilities")
    }

    for pair, seasons in times("walk").items():
        km = geodesic_km(*place[pair[0]], *place[pair[1]])
        assert seasons["dry"] > times("unpaved")[pair]["dry"], pair
        assert km / seasons["dry"] < 5, pair


def test_no_facility_has_its_degrees_exchanged():
    rows = demo("facilities")
    north = [float(row["latitude"]) for row in rows]
    east = [float(row["longitude"]) for row in rows]

    assert not looks_swapped(north, east).any()


def test_a_prevalence_is_of_a_test_of_the_catalogue_and_lies_in_its_range():
    tests = {row["code"] for row in catalogue("tests")}

    for row in demo("prevalences"):
        assert row["test"] in tests
        assert 0 < float(row["low"]) <= float(row["share"]) <= float(row["high"]) < 1
        assert row["source_kind"] == "demo"
        assert not (row["area"] and row["facility"])


def test_prevalences_are_unknown_for_most_tests_and_differ_by_place_for_some():
    """The pages must show both: what follows from a prevalence, and that none is known."""
    by_test = Counter(row["test"] for row in demo("prevalences"))

    assert len(by_test) < len(catalogue("tests")) / 2
    assert by_test["malaria"] == 5
