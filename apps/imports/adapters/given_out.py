"""What a workbook said of the rows of a sheet when it was given out."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any


class GivenOut:
    """Rows by their kept keys. Of 200 000 rows as dictionaries there would not be room enough."""

    def __init__(self, rows: Iterable[Mapping[str, Any]], key: Sequence[str]) -> None:
        self._names: tuple[str, ...] = ()
        self._rows: dict[tuple[Any, ...], tuple[Any, ...]] = {}
        for row in rows:
            # A workbook was written at one time, so that all rows have the same columns.
            self._names = self._names or tuple(row)
            self._rows[tuple(row[name] for name in key)] = tuple(row.values())

    def __len__(self) -> int:
        return len(self._rows)

    def get(self, key: tuple[Any, ...]) -> Mapping[str, Any] | None:
        """Column to kept value; ``None`` where the workbook had no such row."""
        row = self._rows.get(key)
        return None if row is None else dict(zip(self._names, row, strict=True))
