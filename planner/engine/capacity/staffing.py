"""Working time and staff, by workload indicators of staffing need.

Method: WHO, Workload Indicators of Staffing Need (WISN), user's manual, 2010 (cited from
memory), as worked through for a clinic in Hum Resour Health 2017, table 3.
"""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics.quantities import SHARE, Quantity, Values

_DAYS_A_WEEK = Quantity("working days", "a week", 0, 7)
_WEEKS = Quantity("weeks", "a year", 0, 53)
_ABSENT = Quantity("days of absence", "a year", 0, 366, above_zero=False)
_HOURS_A_DAY = Quantity("working hours", "a day", 0, 24, "is this in minutes? Divide by 60")
_WORKLOAD = Quantity("workload", "hours a year", 0, 1e9, above_zero=False)
_PERSON = Quantity("hours of one person", "a year", 0, 8784)
_TESTS = Quantity("tests", "", 0, 1e9)
_HOURS = Quantity("time", "h", 0, 1e9, above_zero=False)
_STAFF = Quantity("staff", "people", 0, 1e6, above_zero=False)


def available_days(
    days_per_week: ArrayLike, weeks_per_year: ArrayLike = 52.0, *absent_days: ArrayLike
) -> Values:
    """Days that one person works a year = days a week × weeks − all days of absence.

    ``absent_days``: public holidays, annual leave, sick leave, training, one by one.

    Raises ``InputError`` where nothing is left.
    """
    days = _DAYS_A_WEEK.values(days_per_week) * _WEEKS.values(weeks_per_year)
    left = np.asarray(days - sum(_ABSENT.values(each) for each in absent_days))
    if np.any(left <= 0):
        raise InputError(
            "working time", ["days of absence: expected fewer than the days worked in a year"]
        )
    return left


def available_hours(days_per_year: ArrayLike, hours_per_day: ArrayLike) -> Values:
    """Available working time of one person, in hours a year."""
    return _ABSENT.values(days_per_year) * _HOURS_A_DAY.values(hours_per_day)


def category_allowance_factor(share: ArrayLike) -> Values:
    """1 ÷ (1 − CAS): what all of a category give to other work (cleaning, reports, meetings).

    ``share``: of the working time, 0 to below 1. Raises ``InputError`` for a whole 1.
    """
    values = SHARE.values(share)
    if np.any(values >= 1):
        raise InputError("allowance", ["share of other work: expected less than all of the time"])
    return 1 / (1 - values)


def individual_allowance(hours: ArrayLike, person_hours_per_year: ArrayLike) -> Values:
    """People for what only some do (supervision, teaching): those hours ÷ one person's hours."""
    return _WORKLOAD.values(hours) / _PERSON.values(person_hours_per_year)


def staff_needed(
    workload_hours: ArrayLike,
    person_hours_per_year: ArrayLike,
    category_share: ArrayLike = 0.0,
    individual_hours: ArrayLike = 0.0,
) -> Values:
    """People = workload ÷ one person's hours × category factor + individual allowance."""
    base = _WORKLOAD.values(workload_hours) / _PERSON.values(person_hours_per_year)
    allowance = individual_allowance(individual_hours, person_hours_per_year)
    return base * category_allowance_factor(category_share) + allowance


def work_pressure_share(staff: ArrayLike, needed: ArrayLike) -> Values:
    """1 − staff ÷ needed: above 0 the staff carry more than they have time for, below 0 less.

    NaN where nobody is needed. Up to 0.10 has been called bearable (a WISN study in Oman).
    """
    wanted = _STAFF.values(needed)
    return 1 - _STAFF.values(staff) / np.where(wanted > 0, wanted, np.nan)


def minutes_per_test(hours: ArrayLike, tests: ArrayLike) -> Values:
    """Minutes that each of ``tests`` took, from the hours observed for all of them."""
    return 60 * _HOURS.values(hours) / _TESTS.values(tests)
