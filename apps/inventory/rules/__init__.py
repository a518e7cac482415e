"""What follows from facts of the register on a given day. Nothing is fetched here."""

from apps.inventory.rules.dates import (
    SOON_DAYS,
    STALE_MONTHS,
    STOCK_STALE_DAYS,
    Due,
    Norm,
    due_of,
    is_stale,
    months_later,
)
from apps.inventory.rules.files import FILE_FIELDS, Completeness, completeness
from apps.inventory.rules.staff import (
    REFRESHER_MONTHS,
    WORKING_WEEKS_PER_YEAR,
    is_lapsed,
    lapses_on,
    wants_refresher,
    yearly_testing_hours,
)
from apps.inventory.rules.verifications import (
    DUE_DAYS,
    WORST_FIRST,
    is_as_it_was,
    latest_of_each,
    standing,
    standing_of,
)

__all__ = [
    "DUE_DAYS",
    "FILE_FIELDS",
    "REFRESHER_MONTHS",
    "SOON_DAYS",
    "STALE_MONTHS",
    "STOCK_STALE_DAYS",
    "WORKING_WEEKS_PER_YEAR",
    "WORST_FIRST",
    "Completeness",
    "Due",
    "Norm",
    "completeness",
    "due_of",
    "is_as_it_was",
    "is_lapsed",
    "is_stale",
    "lapses_on",
    "latest_of_each",
    "months_later",
    "standing",
    "standing_of",
    "wants_refresher",
    "yearly_testing_hours",
]
