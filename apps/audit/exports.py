"""The history as a file, and the one way in which every app here writes CSV."""

import csv
import io
import json
from collections.abc import Iterable, Sequence
from typing import Any

from apps.audit.models import Entry

# A spreadsheet program takes text that starts so for a formula and may run it.
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
BYTE_ORDER_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"

COLUMNS = (
    "entry", "at", "by", "action", "object_type", "object_key", "place", "before", "after", "why",
    "digest",
)  # fmt: skip


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """A CSV file (RFC 4180) that spreadsheet programs open with the right letters.

    It starts with a byte order mark, by which they know UTF-8. Text that they would take for
    a formula gets an apostrophe before it; numbers stay numbers. ``None`` is an empty cell.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_safe(value) for value in row] for row in rows)
    return BYTE_ORDER_MARK + text.getvalue()


def history_csv(entries: Iterable[Entry]) -> str:
    """Entries as CSV, a line each; what was before and after as JSON."""
    return csv_text(COLUMNS, (_line(entry) for entry in entries))


def _line(entry: Entry) -> tuple[Any, ...]:
    before, after = (
        "" if values is None else json.dumps(values, ensure_ascii=False, sort_keys=True)
        for values in (entry.before, entry.after)
    )
    return (
        entry.pk,
        entry.at.isoformat(),
        entry.by.get_username() if entry.by else "",
        entry.action,
        entry.object_type,
        entry.object_key,
        entry.place,
        before,
        after,
        entry.why,
        entry.digest,
    )


def _safe(value: Any) -> Any:
    if isinstance(value, str) and value.startswith(STARTS_A_FORMULA):
        return f"'{value}"
    return value
