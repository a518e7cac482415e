"""What changed in the catalogue, as a file."""

import json
from collections.abc import Mapping
from typing import Any

from apps.audit.exports import csv_text
from apps.catalogue.selectors import differences

COLUMNS = ("table", "row", "kind", "field", "before", "after", "source")


def differences_csv(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """A line for each field that differs between two snapshots of the catalogue."""
    return csv_text(
        COLUMNS,
        (
            (table.table, row.key, row.kind, each.field, _text(each.before), _text(each.after),
             row.source)
            for table in differences(before, after)
            for row in table.rows
            for each in row.fields
        ),
    )  # fmt: skip


def _text(value: Any) -> str:
    """Text as it is, anything else as JSON, as in the files of a catalogue."""
    if value is None:
        return ""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
