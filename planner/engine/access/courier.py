"""How long a specimen is on its way when a courier collects on some days of the week."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.access.distance import Bools
from planner.engine.errors import InputError
from planner.engine.physics.quantities import Quantity, Values

DAYS_PER_WEEK = 7
HOURS_PER_DAY = 24.0
HOURS_PER_WEEK = DAYS_PER_WEEK * HOURS_PER_DAY

HOUR_OF_DAY = Quantity("hour of the day", "", 0, 24, "write 16.5 for half past four", False)
HOURS = Quantity("time", "h", 0, 10_000, "is this in minutes? Divide by 60", False)


@dataclass(frozen=True)
class Turnaround:
    """A specimen from being taken to its test, and the result back: hours; NaN is not known.

    ``margin_hours``: what the specimen still keeps when it is tested; below 0 it is spoiled.
    ``in_time``: it keeps; never true where something is not known. ``is_known``: all of it is.
    """

    to_test_hours: Values
    margin_hours: Values
    to_result_hours: Values
    in_time: Bools
    is_known: Bools


def worst_case_wait_hours(
    collection_weekdays: Collection[int],
    *,
    pickup_hour: float | None = None,
    cutoff_hour: float | None = None,
    taken_from_hour: float = 0.0,
    taken_to_hour: float = HOURS_PER_DAY,
) -> float:
    """Longest wait of a specimen for the courier, over all times at which it can be taken.

    ``collection_weekdays``: days of collection, Monday 0; the week closes on itself, so that
    after Friday's collection Monday's is three days away. The courier leaves at
    ``pickup_hour``, with what was taken until ``cutoff_hour`` (the pick-up, where there is
    none). Specimens are taken on every day from ``taken_from_hour`` to ``taken_to_hour``;
    where the pick-up is not known, at any hour.

    Raises ``InputError`` for no day, a day that is none, a day twice, or hours out of order.
    """
    days = _days(collection_weekdays)
    if pickup_hour is None:
        return _longest_gap_days(days) * HOURS_PER_DAY
    leaves, until = _hours(pickup_hour, cutoff_hour, taken_from_hour, taken_to_hour)
    deadlines = days * HOURS_PER_DAY + until
    opening = np.arange(DAYS_PER_WEEK, dtype=float) * HOURS_PER_DAY + taken_from_hour
    # A wait is longest from the start of a day's taking, or just after a collection closed.
    just_missed = deadlines if taken_from_hour <= until < taken_to_hour else deadlines[:0]
    waits = [
        _to_next(opening, deadlines, missed=False),
        _to_next(just_missed, deadlines, missed=True),
    ]
    return float(np.concatenate(waits).max() + leaves - until)


def turnaround(
    *,
    wait_hours: ArrayLike,
    travel_hours: ArrayLike,
    queue_hours: ArrayLike,
    keeps_hours: ArrayLike,
    return_hours: ArrayLike = 0.0,
) -> Turnaround:
    """Worst case from specimen to test, against how long the specimen keeps.

    ``keeps_hours``: NaN where it may not travel at all. ``return_hours``: from the test to
    the result in the hands of the site, 0 where it is sent as a message.
    """
    wait, way, queue, keeps, back = (
        HOURS.values(given)
        for given in (wait_hours, travel_hours, queue_hours, keeps_hours, return_hours)
    )
    to_test = wait + way + queue
    margin = keeps - to_test
    known = ~np.isnan(margin)
    return Turnaround(to_test, margin, to_test + back, known & (margin >= 0), known)


def _days(weekdays: Collection[int]) -> Values:
    days = sorted(weekdays)
    possible = [day for day in days if day in range(DAYS_PER_WEEK)]
    if not days or len(set(possible)) != len(days):
        raise InputError(
            "courier",
            [
                "collection_weekdays: expected one or more of 0 (Monday) to 6 (Sunday), each "
                f"once, found {list(weekdays)}"
            ],
        )
    return np.array(days, dtype=float)


def _hours(
    pickup: float, cutoff: float | None, taken_from: float, taken_to: float
) -> tuple[float, float]:
    """When the courier leaves, and until when a specimen goes along."""
    for hour in (pickup, cutoff, taken_from, taken_to):
        HOUR_OF_DAY.values(np.nan if hour is None else hour)
    until = pickup if cutoff is None else cutoff
    if until > pickup:
        raise InputError("courier", [f"cutoff_hour: expected at most the pick-up at {pickup:g}"])
    if taken_from >= taken_to:
        raise InputError("courier", ["taken_from_hour: expected an hour before taken_to_hour"])
    return pickup, until


def _longest_gap_days(days: Values) -> float:
    return float(np.diff(days, append=days[0] + DAYS_PER_WEEK).max())


def _to_next(times: Values, deadlines: Values, *, missed: bool) -> Values:
    """Hours from each of ``times`` to the next deadline; one that is just ``missed`` is past."""
    ahead = (deadlines - times[:, None]) % HOURS_PER_WEEK
    if missed:
        ahead = np.where(ahead == 0, HOURS_PER_WEEK, ahead)
    return np.asarray(ahead.min(axis=1), dtype=float)
