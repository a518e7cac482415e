"""The rows of one sheet of a workbook, and the cells in them that cannot be trusted."""

from collections.abc import Iterator, Mapping
from typing import Any

from apps.imports.adapters.cell_texts import ColumnTexts, text_of
from apps.imports.adapters.sources import Fault, SourceRow
from apps.imports.adapters.tables import RegisterTable


class Rows:
    """Rows of one sheet, told apart from the cells that cannot be trusted."""

    def __init__(
        self,
        table: RegisterTable,
        columns: list[str],
        heads: list[str],
        first_line: int,
        first_column: int,
        formulas: frozenset[tuple[int, int]],
        merged: set[tuple[int, int]],
    ) -> None:
        self._line, self._formulas = first_line, formulas
        self._merged_lines = {row + 1 for row, _ in merged}
        self._places = [
            (at, column, heads[at], ColumnTexts(table.fields[column]), at + first_column)
            for at, column in enumerate(columns)
            if column
        ]
        self._formula_lines = {row for _, row in formulas}

    def read(self, rows: Iterator[list[Any]]) -> Iterator[SourceRow]:
        for line, row in enumerate(rows, self._line):
            cells = {
                column: read(value if type(value) is str and value.isalnum() else text_of(value))
                for at, column, _, read, _ in self._places
                if (value := row[at]) != ""
            }
            faults = self._faults(line, cells) if self._suspect(line) else ()
            if cells or faults:
                yield SourceRow(line, cells, faults)

    def _suspect(self, line: int) -> bool:
        return line in self._formula_lines or line in self._merged_lines

    def _faults(self, line: int, cells: Mapping[str, str]) -> tuple[Fault, ...]:
        faults = [
            Fault(
                head,
                cells.get(column, ""),
                "is a formula, whose result may be out of date",
                "Type the value itself, or paste it as a value.",
            )
            for _, column, head, _, at in self._places
            if (at + 1, line) in self._formulas
        ]
        if line in self._merged_lines:
            faults.append(
                Fault("", "", "is merged with other cells", "Part the cells, and fill in each.")
            )
        return tuple(faults)
