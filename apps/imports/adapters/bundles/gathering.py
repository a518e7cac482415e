"""Rows that a bundle comes to, table by table, on their way to being sheets of a source."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from apps.imports.adapters.filling import filled
from apps.imports.adapters.partial import with_columns
from apps.imports.adapters.placing import placed
from apps.imports.adapters.sources import Fault, SourceRow, SourceSheet
from apps.imports.adapters.tables import TABLES

SITES = "facilities.csv"
Row = tuple[int, Mapping[str, str], tuple[Fault, ...]]


class Gathered:
    """Rows by table, each with the number of its entry, and notes, each once.

    ``within``: the area of which the register is asked for what the bundle does not say.
    """

    def __init__(self, within: str) -> None:
        self._within = within
        self._rows: defaultdict[str, list[Row]] = defaultdict(list)
        self._notes: dict[str, None] = {}

    def add(
        self, file: str, line: int, cells: Mapping[str, str], faults: Sequence[Fault] = ()
    ) -> None:
        self._rows[file].append((line, cells, tuple(faults)))

    def note(self, text: str) -> None:
        self._notes[text] = None

    @property
    def notes(self) -> tuple[str, ...]:
        return tuple(self._notes)

    def sheets(self) -> tuple[SourceSheet, ...]:
        """The tables in the order in which they build on each other."""
        return tuple(self._sheet(file) for file in TABLES if file in self._rows)

    def _sheet(self, file: str) -> SourceSheet:
        table, rows = TABLES[file], self._rows[file]
        said = {name for _, cells, _ in rows for name in cells}
        columns = [name for name in table.sheet.columns if name in said]
        texts = [cells for _, cells, _ in rows]
        if "code" in columns:
            texts = filled(table, columns, texts, self._within)
        read = [
            SourceRow(line, cells, faults)
            for (line, _, faults), cells in zip(rows, texts, strict=True)
        ]
        if file == SITES:
            read, odd = placed(read, {"latitude": "position"})
            self._notes |= dict.fromkeys(odd)
        headings = {name: name for name in columns}
        return SourceSheet(with_columns(table, columns), table.title, headings, read, len(read))
