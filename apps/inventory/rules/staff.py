"""What counts of people say: hours for testing, and whether a skill still holds."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from apps.inventory.rules.dates import months_later

WORKING_WEEKS_PER_YEAR = 44
"""52 weeks less leave, public holidays, illness and courses. Planning default; the arithmetic is
that of the available working time in the WHO handbook on workload indicators of staffing need
(2010, from memory)."""
REFRESHER_MONTHS = 24
"""After so long without training or supervision a refresher is suggested. Planning default; it
changes no figure."""


def yearly_testing_hours(rows: Iterable[Any]) -> float | None:
    """Count x hours a week x working weeks, over all cadres at a site; ``None``: not known.

    Unknown where nobody was counted, or where somebody is there whose hours are not known.
    """
    hours, counted = 0.0, False
    for row in rows:
        counted = True
        if row.staff_count and row.testing_hours_per_week is None:
            return None
        hours += row.staff_count * (row.testing_hours_per_week or 0)
    return hours * WORKING_WEEKS_PER_YEAR if counted else None


def lapses_on(last_trained_on: dt.date | None, lapses_after_months: int | None) -> dt.date | None:
    """The last day that the skill holds; ``None`` where it does not lapse or no day is known."""
    if last_trained_on is None or lapses_after_months is None:
        return None
    return months_later(last_trained_on, lapses_after_months)


def is_lapsed(
    last_trained_on: dt.date | None, lapses_after_months: int | None, today: dt.date
) -> bool:
    """Whether it lapsed. A skill whose training nobody dated is not called lapsed."""
    last_day = lapses_on(last_trained_on, lapses_after_months)
    return last_day is not None and today > last_day


def wants_refresher(held: Any, today: dt.date) -> bool:
    """Whether the people who hold it were last trained or supervised too long ago, by date."""
    dates = filter(None, (held.last_trained_on, held.last_supervised_on))
    last = max(dates, default=None)
    return (
        bool(held.staff_count)
        and last is not None
        and (today > months_later(last, REFRESHER_MONTHS))
    )
