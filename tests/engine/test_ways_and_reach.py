"""Couriers, travel times and reach: worst cases, what was measured, what is not known."""

import itertools

import numpy as np
import pytest

from planner.engine.access import (
    Pace,
    TravelTable,
    geodesic_km,
    looks_swapped,
    reach,
    travel,
    turnaround,
    weighted_coverage,
    worst_case_wait_hours,
)
from planner.engine.access.nearest import Pairs, nearest
from planner.engine.errors import EngineError, InputError

NAN = np.nan
MON, TUE, WED, THU, FRI, SAT, SUN = range(7)


@pytest.mark.parametrize(
    ("days", "hours"),
    [
        ([MON], 168),
        ([MON, THU], 96),
        ([THU, MON], 96),
        ([MON, WED, FRI], 72),
        ([MON, WED, FRI, SAT], 48),
        ([SAT, SUN], 144),
        (range(7), 24),
    ],
)
def test_a_specimen_waits_over_the_longest_gap_of_the_week_which_closes_on_itself(days, hours):
    assert worst_case_wait_hours(days) == hours


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        # Taken on every day from 8 to 16; the courier comes each day.
        ({"pickup_hour": 16}, 8),
        ({"pickup_hour": 12}, 24),
        ({"pickup_hour": 16, "cutoff_hour": 15}, 25),
        ({"pickup_hour": 18, "cutoff_hour": 16}, 10),
        ({"pickup_hour": 8}, 24),
    ],
)
def test_a_daily_courier_is_missed_by_what_is_taken_after_the_cut_off(hours, expected):
    found = worst_case_wait_hours(range(7), **hours, taken_from_hour=8, taken_to_hour=16)

    assert found == expected


def longest_wait_minute_by_minute(days, pickup, cutoff, taken_from, taken_to) -> float:
    """Every minute of the week at which a specimen can be taken, and the next courier for it."""
    runs = [24 * 60 * day + cutoff * 60 for day in days]
    runs += [run + 7 * 24 * 60 for run in runs]
    return max(
        min(run for run in runs if run > minute) + (pickup - cutoff) * 60 - minute
        for day in range(7)
        for minute in range(24 * 60 * day + taken_from * 60, 24 * 60 * day + taken_to * 60)
    )


@pytest.mark.parametrize("days", [(MON,), (TUE, FRI), (MON, TUE, WED, THU, FRI), (SUN,)])
@pytest.mark.parametrize(
    ("pickup", "cutoff", "taken"),
    [(12, 12, (8, 16)), (16, 16, (8, 16)), (17, 14, (7, 15)), (6, 5, (8, 20)), (20, 18, (0, 24))],
)
def test_the_longest_wait_is_that_of_trying_every_minute_of_the_week(days, pickup, cutoff, taken):
    """A second, plain computation. Just after a deadline is a minute after it here."""
    found = worst_case_wait_hours(
        days,
        pickup_hour=pickup,
        cutoff_hour=cutoff,
        taken_from_hour=taken[0],
        taken_to_hour=taken[1],
    )

    slow = longest_wait_minute_by_minute(days, pickup, cutoff, *taken)
    assert found * 60 == pytest.approx(slow, abs=1)


@pytest.mark.parametrize("days", [[], [7], [-1], [MON, MON], [1.5]])
def test_days_that_are_none_or_stand_twice_are_refused(days):
    with pytest.raises(InputError) as error:
        worst_case_wait_hours(days)

    assert error.value.problems == (
        "collection_weekdays: expected one or more of 0 (Monday) to 6 (Sunday), each once,"
        f" found {days}",
    )


@pytest.mark.parametrize(
    ("hours", "text"),
    [
        ({"pickup_hour": 12, "cutoff_hour": 13}, "cutoff_hour: expected at most the pick-up at 12"),
        (
            {"pickup_hour": 12, "taken_from_hour": 9, "taken_to_hour": 9},
            "taken_from_hour: expected an hour before taken_to_hour",
        ),
    ],
)
def test_hours_out_of_order_are_refused(hours, text):
    with pytest.raises(InputError) as error:
        worst_case_wait_hours([MON], **hours)

    assert error.value.problems == (text,)


def test_a_specimen_that_keeps_exactly_as_long_as_it_takes_is_in_time():
    found = turnaround(
        wait_hours=48,
        travel_hours=2,
        queue_hours=4,
        keeps_hours=[53.9, 54, 72, NAN],
        return_hours=50,
    )

    assert found.margin_hours == pytest.approx([-0.1, 0, 18, NAN], nan_ok=True)
    assert found.in_time.tolist() == [False, True, True, False]
    assert found.is_known.tolist() == [True, True, True, False]
    assert found.to_result_hours == pytest.approx(104)


@pytest.mark.parametrize("unknown", ["wait_hours", "travel_hours", "queue_hours"])
def test_whatever_part_of_the_way_is_not_known_the_specimen_is_not_said_to_be_in_time(unknown):
    parts = {"wait_hours": 1, "travel_hours": 1, "queue_hours": 1, "keeps_hours": 72}

    found = turnaround(**{**parts, unknown: NAN})

    assert not found.in_time
    assert not found.is_known


def test_a_measured_time_takes_precedence_over_the_estimate_and_says_so():
    found = travel([30, 30], Pace("unpaved", "dry", 1.0), [NAN, 3.5])

    assert found.hours.tolist() == [1.0, 3.5]
    assert found.is_measured.tolist() == [False, True]


def test_the_rains_lengthen_an_unpaved_way_by_half_and_a_paved_one_not():
    assert travel(30, Pace("unpaved", "wet", 1.0)).hours == 1.5
    assert travel(60, Pace("paved", "wet", 1.0)).hours == 1.0


@pytest.mark.parametrize("pace", [{"mode": "boat"}, {"season": "harmattan"}])
def test_a_mode_or_a_season_that_there_is_not_is_refused(pace):
    with pytest.raises(EngineError):
        Pace(**pace)


def test_a_road_shorter_than_the_straight_line_is_refused():
    with pytest.raises(InputError) as error:
        Pace(detour_index=0.9)

    assert error.value.problems == (
        "detour index: expected a number of at least 1 and at most 10, found 0.9"
        " (a road is no shorter than the straight line)",
    )


@pytest.mark.parametrize(
    ("place", "text"),
    [
        (
            (174.81, -41.32),
            "latitude: expected a number of at least -90 and at most 90 °, found 174.81"
            " (are latitude and longitude swapped?)",
        ),
        (
            (10.0, 180.5),
            "longitude: expected a number of at least -180 and at most 180 °, found 180.5"
            " (write places west of Greenwich as negative degrees)",
        ),
    ],
)
def test_degrees_that_no_place_has_are_refused(place, text):
    with pytest.raises(InputError) as error:
        geodesic_km(*place, 0, 0)

    assert error.value.problems == (text,)


def test_a_place_that_would_lie_among_the_others_with_its_degrees_exchanged_is_flagged():
    north, east = [1.35, 1.29, -19.8, 1.55, 40.0, NAN], [-19.8, -19.6, 1.36, -19.7, 100.0, 3.0]

    assert looks_swapped(north, east).tolist() == [False, False, True, False, False, False]


def test_where_no_place_is_known_none_is_flagged():
    assert looks_swapped([NAN, 3.0], [4.0, NAN]).tolist() == [False, False]


def test_an_unknown_place_has_no_distance():
    assert np.isnan(geodesic_km(NAN, 0, 0, 0))
    assert np.isnan(geodesic_km([0, 1], [0, NAN], 0, 0)).tolist() == [False, True]


@pytest.mark.parametrize("spread_degrees", [0.5, 8.0, 85.0])
def test_the_nearest_place_is_that_of_measuring_all(spread_degrees):
    """The tree of chords is a short cut only; over half the earth too."""
    draw = np.random.default_rng(5)
    here = draw.uniform(-spread_degrees, spread_degrees, (2, 300))
    there = draw.uniform(-spread_degrees, spread_degrees, (2, 90))
    left_out = Pairs.of(draw.integers(0, 300, 8000), draw.integers(0, 90, 8000), 90)
    every = geodesic_km(here[0][:, None], here[1][:, None], *there)
    every[np.divmod(left_out.keys, 90)] = np.inf

    place, km = nearest(tuple(here), tuple(there), left_out)

    assert km == pytest.approx(every.min(axis=1), abs=1e-9)
    assert place.tolist() == every.argmin(axis=1).tolist()


def test_where_every_pair_is_left_out_there_is_no_nearest():
    pairs = Pairs.of(np.array([0, 0]), np.array([0, 1]), 2)

    place, km = nearest(
        (np.array([0.0]), np.array([0.0])), (np.array([0.0, 1.0]), np.array([0.0, 1.0])), pairs
    )

    assert (place.tolist(), km.tolist()) == ([-1], [np.inf])


# Three sites on the equator, 0.2 degrees (22.26 km, 1.04 h) apart; the last is capable.
LINE = ([0, 0, 0], [0, 0.2, 0.4], [100, 200, 400], [False, False, True])


def test_a_measured_way_replaces_the_estimate_of_its_own_pair_even_where_it_is_longer():
    table = TravelTable.of([1], [2], [2.5])

    found = reach(*LINE, table=table)

    assert found.hours == pytest.approx([2.078, 2.5, 0], abs=1e-3)
    assert found.is_measured.tolist() == [False, True, False]
    assert (found.within_hours, found.beyond) == ((400, 400), 300)


def test_a_measured_way_to_a_farther_site_is_taken_where_it_is_quicker():
    line = (*LINE[:3], [False, True, True])
    table = TravelTable.of([0], [2], [0.4])

    found = reach(*line, table=table)

    assert found.nearest_site.tolist() == [2, 1, 2]
    assert found.hours == pytest.approx([0.4, 0, 0])
    assert found.straight_km[0] == pytest.approx(22.2639, abs=1e-4)


def test_a_measured_way_counts_in_its_own_direction_only_and_to_a_capable_site_only():
    table = TravelTable.of([2, 0], [1, 1], [0.1, 0.1])

    assert reach(*LINE, table=table).hours == pytest.approx(reach(*LINE).hours)


def test_people_at_a_limit_are_within_it_and_people_at_a_capable_site_within_everything():
    table = TravelTable.of([0, 1], [2, 2], [1.0, 2.0])

    found = reach(*LINE, table=table)

    assert (found.on_site, found.within_hours, found.beyond) == (400, (500, 700), 0)


def test_of_equally_near_sites_the_first_is_taken():
    found = reach([0, 0, 0], [0, 0.2, -0.2], [1, 1, 1], [False, True, True])

    assert found.nearest_site.tolist() == [1, 1, 2]


def test_where_nobody_can_do_it_everybody_is_beyond():
    found = reach(LINE[0], LINE[1], LINE[2], [False] * 3)

    assert found.nearest_site.tolist() == [-1, -1, -1]
    assert np.isinf(found.hours).all()
    assert (found.on_site, found.within_km, found.within_hours, found.beyond) == (0, 0, (0, 0), 700)


def test_what_is_not_known_of_a_site_is_said_and_not_counted_as_near_or_far():
    found = reach([NAN, 0, 0], [0, 0.01, 0], [100, NAN, 400], [False, False, True])

    assert np.isnan([found.hours[0], found.straight_km[0]]).all()
    assert found.nearest_site.tolist() == [-1, 2, 2]
    assert (found.people, found.way_unknown, found.sites_uncounted) == (500, 100, 1)
    assert (found.within_km, found.beyond) == (400, 0)


def test_a_site_without_a_place_is_reached_where_somebody_measured_the_way():
    table = TravelTable.of([0], [2], [0.5])

    found = reach([NAN, 0, 0], [0, 0.01, 0], [100, 200, 400], [False, False, True], table=table)

    assert found.hours[0] == 0.5
    assert found.way_unknown == 0


def test_the_order_of_sites_changes_nothing():
    draw = np.random.default_rng(3)
    north, east = draw.uniform(-1, 1, (2, 40))
    people, capable = draw.integers(1, 99, 40), draw.random(40) < 0.2
    other = draw.permutation(40)

    one = reach(north, east, people, capable)
    two = reach(north[other], east[other], people[other], capable[other])

    assert two.hours == pytest.approx(one.hours[other], abs=1e-12)
    assert two.within_hours == one.within_hours


def test_sites_with_unequal_facts_are_refused():
    with pytest.raises(InputError) as error:
        reach([0, 0], [0, 0], [1, 1], [True])

    assert error.value.problems == (
        "sites: expected one latitude, longitude, people, capable each",
    )


def test_unknown_access_lies_between_none_and_all_of_its_people():
    found = weighted_coverage([10, 30, 60], [1, NAN, 0])

    assert np.isnan(found.share)
    assert (found.at_least, found.at_most) == pytest.approx((0.1, 0.4))


@pytest.mark.parametrize("people", [[], [0, 0], [NAN, 5]])
def test_without_counted_people_there_is_no_share(people):
    found = weighted_coverage(people, [1.0] * len(people))

    assert np.isnan([found.share, found.at_least, found.at_most]).all()


def test_more_collections_never_lengthen_the_wait():
    for days in itertools.combinations(range(7), 2):
        assert worst_case_wait_hours(days) <= worst_case_wait_hours(days[:1])
        assert worst_case_wait_hours((*days,)) >= worst_case_wait_hours(range(7))
