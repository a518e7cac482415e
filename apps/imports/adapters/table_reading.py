"""A table of the register as CSV, known by its columns, as rows of text."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from apps.imports.adapters.cell_texts import ColumnTexts
from apps.imports.adapters.grids import Grid, grid_of
from apps.imports.adapters.partial import with_columns
from apps.imports.adapters.placing import placed
from apps.imports.adapters.sources import RefusedFileError, Source, SourceRow, SourceSheet
from apps.imports.adapters.tables import TABLES, RegisterTable

SITES = "facilities.csv"


def read_table(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """The rows of the CSV file ``content``; its headings say of which table they are.

    Raises ``RefusedFileError`` where they are those of none.
    """
    grid = grid_of(name, content)
    table = table_with(name, grid.heads)
    if table is None:
        raise RefusedFileError(
            f"{name} has the columns {', '.join(grid.heads)}, which are those of no table here.",
            remedy="Say which column is which, as for a spreadsheet of your own.",
        )
    columns = columns_of(table, grid.heads)
    part = with_columns(table, columns)
    rows = (
        SourceRow(line, {column: text for column, text in zip(columns, cells, strict=True) if text})
        for line, cells in _in_texts(part, columns, grid.rows)
    )
    return source_of(part, table.title, dict(zip(columns, grid.heads, strict=True)), rows, grid)


def table_with(name: str, heads: Sequence[str]) -> RegisterTable | None:
    """The table whose columns ``heads`` are: of several that for which the file is named, or
    that which lacks fewest of its own.

    A table whose rows have codes may be said in part; any other must be whole.
    """
    fitting = [table for table in TABLES.values() if _fits(table, columns_of(table, heads))]
    return min(
        fitting, key=lambda table: (table.file != name, len(lacking(table, heads))), default=None
    )


def columns_of(table: RegisterTable, heads: Sequence[str]) -> list[str]:
    """The column of ``table`` that each of ``heads`` is; nothing where it is none."""
    return [table.columns_by_heading.get(head.casefold(), "") for head in heads]


def lacking(table: RegisterTable, heads: Sequence[str]) -> list[str]:
    named = set(columns_of(table, heads))
    return [name for name in table.sheet.columns if name not in named | table.sheet.optional]


def essential(table: RegisterTable) -> frozenset[str]:
    """The columns that a file cannot be without: what rows are known by, and where they belong."""
    if table.sheet.key != ("code",):
        return frozenset(table.sheet.columns) - table.sheet.optional
    return frozenset({"code", *(() if table.file in ("areas.csv", SITES) else table.places)})


def source_of(
    table: RegisterTable,
    title: str,
    headings: Mapping[str, str],
    rows: Iterable[SourceRow],
    grid: Grid,
) -> Source:
    """One sheet as a whole file; sites are held against where their areas lie."""
    notes = grid.notes
    if table.file == SITES and {"latitude", "longitude"} <= headings.keys():
        marked, odd = placed(list(rows), headings)
        rows, notes = marked, (*notes, *odd)
    return Source((SourceSheet(table, title, headings, rows, grid.row_count),), notes=notes)


def _fits(table: RegisterTable, columns: Sequence[str]) -> bool:
    return all(columns) and len({*columns}) == len(columns) and essential(table) <= {*columns}


def _in_texts(
    table: RegisterTable, columns: Sequence[str], rows: Iterable[tuple[int, list[str]]]
) -> Iterator[tuple[int, list[str]]]:
    texts = [ColumnTexts(table.fields[column]) for column in columns]
    for line, cells in rows:
        yield line, [read(cell) for read, cell in zip(texts, cells, strict=True)]
