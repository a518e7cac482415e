"""When a device wants calibration or service again, and when a fact is too old to rest on.

A date that is stated counts before one that is worked out: the last date and the interval that
the catalogue gives for the class of the device (``PlanningRange``, each with its source).
"""

import calendar
import datetime as dt
from dataclasses import dataclass
from typing import Any

from apps.inventory.choices import DueKind

SOON_DAYS = 60
"""So long before it is due a date is shown: time to call a technician. Planning default."""
STALE_MONTHS = 12
"""A fact of the register that nobody has seen for longer is stale. Planning default: districts
count once a year."""
STOCK_STALE_DAYS = 31
"""The same for what is on the shelf. Planning default: stock is counted every month."""


@dataclass(frozen=True)
class Norm:
    """After how many months something should be done again: at the earliest and at the latest."""

    low_months: float
    high_months: float
    source: Any = None
    source_kind: str = ""


@dataclass(frozen=True)
class Due:
    """Something that falls due. ``on`` is ``None`` where no date is known to start from.

    ``last``: when it was done last. ``norm``: the interval by which ``on`` was worked out;
    ``None`` where the date itself is stated.
    """

    kind: str
    on: dt.date | None
    last: dt.date | None = None
    norm: Norm | None = None

    def days_over(self, today: dt.date) -> int | None:
        """Days since it fell due; below zero, days to go."""
        return None if self.on is None else (today - self.on).days


def months_later(day: dt.date, months: int) -> dt.date:
    """The same day of the month, or its last where it has fewer days."""
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    last = calendar.monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, min(day.day, last))


def due_of(
    item: Any, calibration: Norm | None, service: Norm | None, measured_on: dt.date | None
) -> list[Due]:
    """All that falls due on ``item``, whenever that is.

    ``measured_on``: the last verification that it passed, which is a calibration as well.
    Without a norm and without a stated date nothing is said.
    """
    calibrated = max(filter(None, (item.last_calibrated_on, measured_on)), default=None)
    found = [
        _due(DueKind.CALIBRATION, item.calibration_due_on, calibrated, calibration),
        _due(DueKind.SERVICE, item.service_due_on, item.last_serviced_on, service),
        _due(DueKind.WARRANTY, item.warranty_until, None, None),
        _due(DueKind.CONTRACT, item.contract_until, None, None),
    ]
    return [each for each in found if each is not None]


def is_stale(observed_on: dt.date | None, today: dt.date, days: int | None = None) -> bool:
    """Whether nobody has seen it for too long; what has no date is as good as never seen."""
    if observed_on is None:
        return True
    if days is not None:
        return (today - observed_on).days > days
    return today > months_later(observed_on, STALE_MONTHS)


def _due(kind: str, stated: dt.date | None, last: dt.date | None, norm: Norm | None) -> Due | None:
    # A stated date that has been overtaken by the work itself says nothing any more.
    if stated is not None and (last is None or stated > last):
        return Due(kind, stated, last)
    if norm is None:
        return None
    on = None if last is None else months_later(last, int(norm.high_months))
    return Due(kind, on, last, norm)
