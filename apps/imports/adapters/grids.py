"""A CSV file or a spreadsheet as lines of cells, whatever it was saved with."""

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from python_calamine import CalamineError, CalamineWorkbook, SheetVisibleEnum

from apps.imports.adapters.cell_texts import text_of
from apps.imports.adapters.containers import SAVE_AS, look_into
from apps.imports.adapters.csv_cells import unguarded
from apps.imports.adapters.extents import MOST_COLUMNS, MOST_ROWS
from apps.imports.adapters.sources import RefusedFileError

DELIMITERS = (",", ";", "\t")
ANY_BYTE = "latin-1"
ENCODINGS = ("utf-8-sig", "cp1252", ANY_BYTE)
MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
MOST_TITLES = 15
"""Lines above the headings, such as a title or the date, that are looked at."""
SAVE_CSV = "Save it as CSV in UTF-8, and upload that."


@dataclass(frozen=True)
class Grid:
    """Lines of text with their numbers, each with as many cells as there are ``heads``.

    ``title``: of the sheet, or the file's name; ``sheets``: what other sheets there are.
    """

    title: str
    heads: tuple[str, ...]
    rows: Iterable[tuple[int, list[str]]]
    notes: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()
    row_count: int | None = None


def grid_of(name: str, content: bytes, *, sheet: str = "") -> Grid:
    """The file ``content`` as a grid; of a workbook the ``sheet``, or else the first with rows.

    The headings are the first line with most cells filled in among the first few. Raises
    ``RefusedFileError`` for what is no table, or not safe to read.
    """
    if name.lower().endswith((".xlsx", ".xlsm", ".xls", ".ods")) or content.startswith(b"PK"):
        return _workbook(name, content, sheet)
    return _csv(name, content)


def _csv(name: str, content: bytes) -> Grid:
    text, notes = _decoded(name, content)
    delimiter = max(DELIMITERS, key=lambda each: _parted(text, each))
    return _grid(name, _csv_lines(name, text, delimiter), tuple(notes), (), content.count(b"\n"))


def _decoded(name: str, content: bytes) -> tuple[str, list[str]]:
    marked = [encoding for mark, encoding in MARKS if content.startswith(mark)]
    for encoding in (*marked, *ENCODINGS):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        guessed = encoding not in ("utf-8-sig", "utf-16")
        said = f"{name} is not in UTF-8 and was read as Western European: look at its accents."
        return text, [said] if guessed else []
    raise RefusedFileError(f"{name} is no text.", remedy=SAVE_CSV)


def _parted(text: str, delimiter: str) -> tuple[int, int]:
    """How many of the first lines have as many cells as most of them, and how many that is."""
    lines = islice(io.StringIO(text, newline=""), MOST_TITLES)
    try:
        widths = Counter(len(row) for row in csv.reader(lines, delimiter=delimiter) if any(row))
    except csv.Error:
        return 0, 0
    wide = [(count, width) for width, count in widths.items() if width > 1]
    return max(wide, default=(0, 0))


def _csv_lines(name: str, text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins = 1
    try:
        for row in reader:
            yield begins, [unguarded(cell.strip()) for cell in row]
            begins = reader.line_num + 1
    except csv.Error as error:
        raise RefusedFileError(
            f"{name}, line {begins}: from here on it is not CSV ({error}).",
            remedy="Check the quotes, or save it again from a spreadsheet program.",
        ) from error


def _workbook(name: str, content: bytes, wanted: str) -> Grid:
    contents = look_into(name, content)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        shown = [
            each.name for each in book.sheets_metadata if each.visible == SheetVisibleEnum.Visible
        ]
        titles = [title for title in shown if book.get_sheet_by_name(title).start is not None]
        title = wanted if wanted in titles else next(iter(titles), "")
        if not title:
            raise RefusedFileError(f"{name} has nothing in it.", remedy="Fill it in.")
        sheet = book.get_sheet_by_name(title)
    except (CalamineError, ValueError, KeyError) as error:
        raise RefusedFileError(f"{name} cannot be read ({error}).", remedy=SAVE_AS) from error
    first = (sheet.start or (0, 0))[0] + 1
    lines = ((line, list(map(text_of, row))) for line, row in enumerate(sheet.iter_rows(), first))
    cells = sum(map(len, contents.formulas.values()))
    notes = [f"{cells} cells are formulas; what they last came to was read."] if cells else []
    return _grid(title, lines, tuple(notes), tuple(titles), sheet.height)


def _grid(
    title: str,
    lines: Iterator[tuple[int, list[str]]],
    notes: tuple[str, ...],
    sheets: tuple[str, ...],
    count: int,
) -> Grid:
    ahead = list(islice(lines, MOST_TITLES))
    widest = max((_filled(row) for _, row in ahead), default=0)
    if not widest:
        raise RefusedFileError(f"{title} has nothing in it.", remedy="Fill it in.")
    at = next(place for place, (_, row) in enumerate(ahead) if _filled(row) == widest)
    heads = ahead[at][1]
    while heads and not heads[-1]:
        heads = heads[:-1]
    if len(heads) > MOST_COLUMNS:
        raise RefusedFileError(
            f"{title} has {len(heads)} columns; at most {MOST_COLUMNS} are read.",
            remedy="Remove the columns that do not matter.",
        )
    names = tuple(" ".join(head.split()) for head in heads)
    rows = _rows(title, chain(ahead[at + 1 :], lines), len(names))
    return Grid(title, names, rows, notes, sheets, max(count - at - 1, 0))


def _rows(
    title: str, lines: Iterable[tuple[int, list[str]]], width: int
) -> Iterator[tuple[int, list[str]]]:
    for number, (line, row) in enumerate(lines, 1):
        if number > MOST_ROWS:
            raise RefusedFileError(
                f"{title} has more than {MOST_ROWS} rows.", remedy="Part it into several files."
            )
        if any(row):
            yield line, [*row[:width], *[""] * (width - len(row))]


def _filled(row: Sequence[str]) -> int:
    return sum(bool(cell) for cell in row)
