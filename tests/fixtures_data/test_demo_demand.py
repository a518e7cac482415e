"""Demand and routes follow from the register by the stated rules, byte for byte."""

import runpy
import shutil

import pytest

from tests.fixtures_data.tables import FIXTURES, catalogue, demo


def asked() -> dict[tuple[str, str], float]:
    return {(row["facility"], row["test"]): float(row["tests_per_year"]) for row in demo("demand")}


def population(facility: str) -> int:
    [row] = [row for row in demo("facilities") if row["code"] == facility]
    return int(row["population"])


@pytest.mark.parametrize("name", ["demand.csv", "routes.csv", "travel_times.csv"])
def test_making_the_file_again_gives_the_same_bytes(name, tmp_path):
    copy = shutil.copytree(FIXTURES / "demo", tmp_path / "demo")
    shutil.copytree(FIXTURES / "catalogue", tmp_path / "catalogue")
    (copy / name).unlink()

    runpy.run_path(str(copy / "make.py"), run_name="__main__")

    assert (copy / name).read_bytes() == (FIXTURES / "demo" / name).read_bytes()


def test_every_test_of_the_catalogue_has_a_rate_and_somebody_asks_for_it():
    tests = [row["code"] for row in catalogue("tests")]

    assert [row["test"] for row in demo("rates")] == tests
    assert {test for _, test in asked()} == set(tests)


def test_demand_is_in_whole_tests_above_none():
    assert {count % 1 for count in asked().values()} == {0.0}
    assert min(asked().values()) >= 1


def test_a_test_expected_at_a_post_is_asked_for_there():
    """120 haemoglobins for 1000 people a year."""
    post = "hp-otter-bend"

    assert asked()[post, "haemoglobin"] == round(0.120 * population(post))


def test_a_specimen_that_travels_is_asked_for_where_the_people_are():
    """Sputum keeps for 72 hours, so that the 6 tests for 1000 people stand at the post."""
    post = "hp-otter-bend"

    assert asked()[post, "tb-naat"] == round(0.006 * population(post))


def test_what_cannot_travel_is_asked_for_at_the_hospital_only():
    at = {facility[:2] for facility, test in asked() if test == "cross-match"}

    assert at == {"bh", "dh"}


def test_no_demand_is_lost_on_the_way_to_the_hospital():
    """Each facility's share is rounded to whole tests, so half a test may go astray at each."""
    people = sum(int(row["population"]) for row in demo("facilities"))
    sites = [facility for facility, test in asked() if test == "cross-match"]
    total = sum(count for (_, test), count in asked().items() if test == "cross-match")

    assert abs(total - 0.004 * people) <= 0.5 * len(sites)


def test_every_facility_but_the_district_hospital_refers_to_two_others_or_to_it():
    routes = {
        row["code"]: sorted(
            route["destination"][:2] for route in demo("routes") if route["origin"] == row["code"]
        )
        for row in demo("facilities")
    }
    by_level = {code[:2]: set() for code in routes}
    for code, destinations in routes.items():
        by_level[code[:2]].add(tuple(destinations))

    assert by_level == {
        "hp": {("bh", "hc")},
        "hc": {("bh", "dh")},
        "bh": {("dh",)},
        "dh": {()},
    }


def test_posts_and_centres_refer_within_their_block():
    area = {row["code"]: row["area"] for row in demo("facilities")}

    assert [
        route
        for route in demo("routes")
        if route["destination"][:2] != "dh" and area[route["origin"]] != area[route["destination"]]
    ] == []


def test_waiting_and_travelling_take_four_hours_to_five_days():
    hours = [float(row["hours"]) for row in demo("routes")]

    assert min(hours) >= 4
    assert max(hours) <= 120
    assert min(float(row["cost_per_specimen"]) for row in demo("routes")) > 0
