"""Hours at the batches that a volume fills, bands of use, and impossible working time."""

import numpy as np
import pytest

from planner.engine import capacity
from planner.engine.capacity import BANDS, Band
from planner.engine.errors import InputError

BATCHES = [
    # tests a year, batch size, working days, expected batches a year
    (0, 20, 250, 0),
    (100, 20, 250, 100),  # fewer than one a day: each alone
    (250, 20, 250, 250),
    (251, 20, 250, 250),  # one a day, some days with two in it
    (5000, 20, 250, 250),  # exactly full
    (5001, 20, 250, 500),  # a second batch is begun each day
    (10_000, 20, 250, 500),
    (250, 1, 250, 250),
    (750, 3, 250, 250),
]


@pytest.mark.parametrize(("volume", "size", "days", "expected"), BATCHES)
def test_batches_a_year_are_those_that_the_volume_of_a_day_fills(volume, size, days, expected):
    assert capacity.batches_per_year(volume, size, days) == pytest.approx(expected)
    assert capacity.runs_per_year(volume, size, days) == pytest.approx(expected)


def test_rounding_never_starts_a_batch_that_nobody_needs():
    """Three tenths of 2500 are a little more than 750 in floating point."""
    volume = 0.1 * 3 * 2500

    assert volume > 750
    assert capacity.batches_per_year(volume, 3, 250) == 250


def test_a_full_batch_takes_the_least_time_for_one_test():
    """30 minutes for a batch of 20, and 4 for each: 5.5 minutes when full, 34 alone."""
    found = 60 * capacity.hours_per_test([0, 100, 2500, 5000], 20, 30, 4)

    assert found.tolist() == pytest.approx([34, 34, 7, 5.5])
    assert 60 * capacity.full_batch_hours_per_test(20, 30, 4) == pytest.approx(5.5)


def test_hours_a_year_never_fall_when_more_is_asked_for():
    volumes = np.linspace(0, 20_000, 4001)

    hours = capacity.hours_per_year(volumes, 12, 25, 3)

    assert (np.diff(hours) >= -1e-9).all()


def test_only_whole_runs_count_towards_what_a_device_can_do():
    available = [29, 30, 59, 60, 480]

    found = capacity.batch_device_capacity(8, available, 5, 25)

    assert found.tolist() == [0, 8, 8, 16, 128]


LIMITS = [
    (0, Band.IDLE), (0.1499, Band.IDLE), (0.15, Band.LOW), (0.2999, Band.LOW), (0.30, Band.FAIR),
    (0.3999, Band.FAIR), (0.40, Band.TARGET), (0.75, Band.TARGET), (0.7501, Band.BUSY),
    (0.80, Band.BUSY), (0.8001, Band.QUEUEING), (1.0, Band.QUEUEING), (1.0001, Band.OVER),
    (np.inf, Band.OVER),
]  # fmt: skip


@pytest.mark.parametrize(("used", "expected"), LIMITS)
def test_a_share_of_use_has_its_band(used, expected):
    assert BANDS[capacity.band(used)] is expected


def test_an_unknown_use_has_no_band():
    assert capacity.band(np.nan) == -1


def test_work_without_time_is_endless_and_no_work_is_none():
    found = capacity.utilisation([10, 0, 0, 5, np.nan], [0, 0, 10, 10, 10])

    assert found.tolist()[:4] == [np.inf, 0, 0, 0.5]
    assert np.isnan(found[4])


@pytest.mark.parametrize("arrivals", [5, 6])
def test_a_queue_without_spare_capacity_never_ends(arrivals):
    assert capacity.mean_queue_length(arrivals, 5) == np.inf
    assert capacity.mean_queue_wait(arrivals, 5) == np.inf


def test_pressure_is_what_the_staff_carry_too_much():
    found = capacity.work_pressure_share([9, 10, 12, 1], [10, 10, 10, 0])

    assert found[:3].tolist() == pytest.approx([0.1, 0, -0.2])
    assert np.isnan(found[3])


@pytest.mark.parametrize(
    ("call", "arguments", "said"),
    [
        (capacity.available_days, (5, 52, 200, 60), "days of absence: expected fewer"),
        (capacity.available_days, (8, 52), "working days: expected a number above 0"),
        (capacity.available_hours, (179, 480), "working hours: expected a number above 0"),
        (capacity.category_allowance_factor, (1.0,), "share of other work: expected less"),
        (capacity.category_allowance_factor, (5.6,), "share: expected a number of at least 0"),
        (capacity.staff_needed, (-1, 1432), "workload: expected a number of at least 0"),
        (capacity.staff_needed, (1, 0), "hours of one person: expected a number above 0"),
        (capacity.minutes_per_test, (1, 0), "tests: expected a number above 0"),
        (capacity.batches_per_year, (1, 0), "batch size: expected a number above 0"),
        (capacity.batches_per_year, (1, 1, 2000), "working days: expected a number above 0"),
        (capacity.hours_per_test, (1, 1, -5, 0), "time: expected a number of at least 0"),
        (capacity.batch_device_capacity, (1, 60, 0, 0), "run: expected a number above 0"),
        (capacity.availability, (0, 60), "mean time between failures: expected a number above 0"),
        (capacity.availability, (730, -1), "mean time to repair: expected a number"),
        (capacity.utilisation, (-1, 5), "busy time: expected a number of at least 0"),
        (capacity.mean_queue_length, (1, 0), "rate of service: expected a number above 0"),
    ],
)
def test_impossible_time_is_refused_by_name(call, arguments, said):
    with pytest.raises(InputError) as refused:
        call(*arguments)

    assert refused.value.problems[0].startswith(said)
