"""What a reader makes of a file, whatever its format: sheets of rows of text, and refusals."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from apps.imports.adapters.tables import RegisterTable


class RefusedFileError(Exception):
    """A file that is not read at all: what is wrong with it, and what to do."""

    def __init__(self, problem: str, *, remedy: str) -> None:
        self.problem, self.remedy = problem, remedy
        super().__init__(f"{problem} {remedy}")


@dataclass(frozen=True)
class Fault:
    """What is wrong in a row: in one column (blank: in the row as a whole), and what to do."""

    column: str
    value: str
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One row of a file: where it stands and the text of each column, without outer blanks.

    Dates are written as 2026-01-31, numbers with a point, references and choices as codes.
    ``faults``: what the reader itself found wrong.
    """

    line: int
    cells: Mapping[str, str]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class SourceSheet:
    """The rows of one table. ``title``: what the file calls it; ``headings``: its columns."""

    table: RegisterTable
    title: str
    headings: Mapping[str, str]
    rows: Iterable[SourceRow]
    row_count: int | None = None


@dataclass(frozen=True)
class Source:
    """A whole file. ``workbook_key``: the workbook given out that it was, if it says so."""

    sheets: tuple[SourceSheet, ...]
    workbook_key: str = ""
    notes: tuple[str, ...] = ()


Reader = Callable[[str, bytes, Mapping[str, Any]], Source]
"""Name and content of a file, and the settings in ``Upload.how``, to what it says.

Raises ``RefusedFileError``. Rows may be read one by one while they are asked for.
"""
