"""Working time, throughput, availability and queues against published and textbook values."""

import numpy as np
import pytest
import scipy.linalg
import scipy.stats

from planner.engine import capacity

KENYA = "Hum Resour Health 2017, table 3: an HIV clinic in Kenya (seen)"


def test_the_working_days_of_the_published_clinic_are_179():
    days = capacity.available_days(4.5, 52, 10, 30, 15)

    assert days == 179, KENYA


def test_the_published_clinic_needs_17_46_people():
    """100 000 visits of 0.25 h are 25 000 h, or 3125 days of 8 h."""
    person = capacity.available_hours(179, 8)

    assert 100_000 * 0.25 / 8 == 3125
    assert capacity.staff_needed(25_000, person) == pytest.approx(17.46, abs=0.005), KENYA


def test_ten_days_of_other_work_make_it_18_49():
    """Factor 1 ÷ (1 − 10/179) = 1.0592; computed from the table's own figures."""
    person = capacity.available_hours(179, 8)

    assert capacity.category_allowance_factor(10 / 179) == pytest.approx(1.0592, abs=5e-5)
    assert capacity.staff_needed(25_000, person, 10 / 179) == pytest.approx(18.49, abs=0.005)


def test_one_person_who_supervises_half_the_time_adds_half_a_person():
    """WISN manual 2010 (from memory): the individual allowance is added, not multiplied."""
    person = capacity.available_hours(179, 8)
    base = capacity.staff_needed(25_000, person, 10 / 179)

    with_supervisor = capacity.staff_needed(25_000, person, 10 / 179, person / 2)

    assert with_supervisor - base == pytest.approx(0.5, rel=1e-12)


THROUGHPUT = [
    # hours, tests, expected minutes, tolerance, source
    (65 + 5 / 60, 360, 10.85, 0.01, "Kato-Katz, Parasites & Vectors 2015 (seen)"),
    (1, 40, 1.5, 1e-12, "LED fluorescence smear, observed time (seen)"),
]


@pytest.mark.parametrize(("hours", "tests", "expected", "tolerance", "source"), THROUGHPUT)
def test_minutes_for_a_test_follow_from_the_time_for_all(hours, tests, expected, tolerance, source):
    assert capacity.minutes_per_test(hours, tests) == pytest.approx(expected, abs=tolerance), source


def stationary(generator: np.ndarray) -> np.ndarray:
    """The long-run shares of a continuous-time Markov chain, by ``scipy.linalg.null_space``."""
    shares = scipy.linalg.null_space(generator.T)[:, 0]
    return shares / shares.sum()


def test_a_device_that_fails_every_730_days_for_60_works_92_41_per_cent_of_the_time():
    assert capacity.availability(730, 60) == pytest.approx(0.9241, abs=1e-4)


def test_availability_is_the_long_run_share_of_a_machine_that_fails_and_is_repaired():
    """Reference: the stationary distribution of the two-state chain."""
    fails, repaired = 1 / 730, 1 / 60
    works, _ = stationary(np.array([[-fails, fails], [repaired, -repaired]]))

    assert capacity.availability(730, 60) == pytest.approx(works, rel=1e-9)


def test_four_arrivals_and_five_served_leave_3_2_waiting_for_0_8():
    """M/M/1 in queueing texts (from memory): λ 4, μ 5."""
    assert capacity.mean_queue_length(4, 5) == pytest.approx(3.2, rel=1e-12)
    assert capacity.mean_queue_wait(4, 5) == pytest.approx(0.8, rel=1e-12)


@pytest.mark.parametrize("load", [0.1, 0.4, 0.75, 0.8, 0.9])
def test_the_queue_is_the_mean_of_the_geometric_distribution_less_the_one_in_service(load):
    """Reference: scipy.stats.geom, which M/M/1 follows: n = geom − 1, of whom n − 1 wait."""
    waiting = scipy.stats.geom(1 - load).expect(lambda k: np.maximum(k - 2, 0), maxcount=20_000)

    assert capacity.mean_queue_length(load, 1) == pytest.approx(waiting, rel=1e-6)


def test_the_queue_is_that_of_the_birth_and_death_chain():
    """Reference: the stationary distribution of a chain of 400 places."""
    places, arrivals, served = 400, 4.0, 5.0
    rates = np.diag(np.full(places - 1, arrivals), 1) + np.diag(np.full(places - 1, served), -1)
    shares = stationary(rates - np.diag(rates.sum(axis=1)))
    waiting = np.maximum(np.arange(places) - 1, 0) @ shares

    assert capacity.mean_queue_length(arrivals, served) == pytest.approx(waiting, rel=1e-6)


@pytest.mark.parametrize("arrivals", [0.5, 1.0, 3.0, 4.9])
def test_length_is_arrivals_times_wait(arrivals):
    """Little's law, L = λ W (Little 1961, from memory)."""
    length, wait = capacity.mean_queue_length(arrivals, 5), capacity.mean_queue_wait(arrivals, 5)

    assert length == pytest.approx(arrivals * wait, rel=1e-12)


def test_three_runs_of_a_microplate_fit_into_a_working_day():
    """Batch × floor(available ÷ cycle): 90 wells, 150 min, 480 min (planning defaults)."""
    assert capacity.batch_device_capacity(90, 480, 0, 150) == 270
