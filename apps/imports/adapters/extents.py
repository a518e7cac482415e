"""How far one sheet of a container reaches, and where it has formulas."""

import re

from apps.imports.adapters.sources import RefusedFileError

MOST_ROWS = 250_000
MOST_COLUMNS = 100
MOST_CELLS = 10_000_000
LETTERS = 26
FORMULA = re.compile(rb'<c r="([A-Z]{1,3})([0-9]{1,7})"[^>]*>\s*<f[ >/]')
ROW = re.compile(rb'<row [^>]*?r="([0-9]+)"')
CELL = re.compile(rb'<c r="([A-Z]{2,})([0-9]+)"')


class Extent:
    """How far one sheet reaches, and its formulas, found while it passes step by step."""

    def __init__(self, name: str) -> None:
        self.formulas: set[tuple[str, int]] = set()
        self._name = name
        self._row, self._column, self._rows = 1, LETTERS, 0

    def see(self, step: bytes, size: int) -> None:
        self.formulas |= {(col.decode(), int(row)) for col, row in FORMULA.findall(step)}
        self._row = max([self._row, *map(int, ROW.findall(step))])
        # Rows that do not say which they are; those seen twice at the end of a step count once.
        self._rows += step.count(b"<row", max(0, len(step) - size))
        beyond = (column_number(col.decode()) for col, _ in CELL.findall(step))
        self._column = max([self._column, *beyond])
        self._check()

    def _check(self) -> None:
        rows = max(self._row, self._rows)
        if rows > MOST_ROWS:
            raise RefusedFileError(
                f"{self._name} has something in row {rows}; at most {MOST_ROWS} rows are read.",
                remedy="Delete the empty rows below the last one that is filled in, or part it.",
            )
        if self._column > MOST_COLUMNS:
            raise RefusedFileError(
                f"{self._name} has something in column number {self._column};"
                f" at most {MOST_COLUMNS} columns are read.",
                remedy="Delete the columns to the right of the last one that is filled in.",
            )
        # A reader makes room for every cell up to the last row and the last column.
        if rows * self._column > MOST_CELLS:
            raise RefusedFileError(
                f"{self._name} reaches over {rows} rows and {self._column} columns, at most"
                f" {MOST_CELLS} cells are read.",
                remedy="Delete empty rows and columns at the end, or part it.",
            )


def column_number(letters: str) -> int:
    """``A`` is 1, ``AA`` is 27."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
