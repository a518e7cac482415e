"""Travel times as a file that can be loaded again."""

from typing import Any

from apps.audit.exports import csv_text
from apps.facilities.models import Area
from apps.facilities.selectors import travel_times_for

COLUMNS = ("origin", "destination", "mode", "season", "hours", "source", "measured_on")


def travel_times_csv(user: Any, district: Area) -> str:
    """The travel times of ``district`` that ``user`` may see; the file can be loaded again."""
    rows = travel_times_for(user).within(district.path)
    return csv_text(
        COLUMNS,
        (
            (
                row.origin.code,
                row.destination.code,
                row.mode,
                row.season,
                row.hours,
                row.source,
                row.measured_on,
            )
            for row in rows.iterator(chunk_size=2000)
        ),
    )
