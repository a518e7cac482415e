"""A CSV file as rows of text, with the line on which each row begins."""

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from apps.imports.adapters.csv_cells import unguarded


class File(Protocol):
    """What is asked of a file; a ``pathlib.Path`` is one."""

    @property
    def name(self) -> str: ...

    def read_bytes(self) -> bytes: ...


@dataclass(frozen=True)
class Problem:
    """One mistake in a file; ``str`` gives ``file:line: text``, as compilers write it."""

    file: str
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.text}"


@dataclass(frozen=True)
class Record:
    """One row of a file: its first line, and the text of each column, without outer blanks."""

    line: int
    cells: dict[str, str]


def records(path: File, columns: Sequence[str]) -> tuple[list[Record], list[Problem]]:
    """The rows of the CSV file at ``path`` (RFC 4180, UTF-8) and what is wrong with them.

    The first row names the columns, in any order; exactly ``columns`` must be there.
    """
    content = path.read_bytes()
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        byte = f"byte 0x{content[error.start]:02x}"
        return [], [Problem(path.name, line, f"{byte} is not UTF-8. Save the file as UTF-8.")]
    found: list[Record] = []
    problems: list[Problem] = []
    try:
        rows = _rows(text)
        line, header = next(rows, (1, []))
        if wrong := _wrong_header([name.strip() for name in header], columns):
            return [], [Problem(path.name, line, wrong)]
        for line, row in rows:
            if len(row) == len(header):
                cells = (unguarded(cell.strip()) for cell in row)
                names = (name.strip() for name in header)
                found.append(Record(line, dict(zip(names, cells, strict=True))))
            elif row:
                said = f"{len(row)} cells, but the first row names {len(header)} columns."
                problems.append(Problem(path.name, line, f"{said} Check commas and quotes."))
    except csv.Error as error:
        line = found[-1].line + 1 if found else 1
        said = f"after this line the file is not CSV ({error})."
        problems.append(Problem(path.name, line, f"{said} Check the quotes."))
    return found, problems


def header(path: File) -> tuple[str, ...]:
    """The names in the first row of the file at ``path``; none where it cannot be read."""
    text = path.read_bytes().decode("utf-8-sig", errors="replace")
    try:
        _, names = next(_rows(text), (1, []))
    except csv.Error:
        return ()
    return tuple(name.strip() for name in names)


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Each row with the line it begins on; a quoted cell may run over several lines."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begins = 1
    for row in reader:
        yield begins, row
        begins = reader.line_num + 1


def _wrong_header(header: Sequence[str], columns: Sequence[str]) -> str:
    wanted = ",".join(columns)
    if len(header) == 1 and ";" in header[0]:
        return "the columns are parted by semicolons. Save the file with commas."
    faults = [f"the column {name} is missing" for name in columns if name not in header]
    faults += [f"the column {name!r} is not known" for name in header if name not in columns]
    faults += [
        f"the column {name} stands twice" for name in columns if list(header).count(name) > 1
    ]
    return f"{'; '.join(faults)}. The first row must be {wanted}." if faults else ""
