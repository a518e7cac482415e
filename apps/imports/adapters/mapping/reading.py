"""A district's own file as rows of text, by the columns and words that a person confirmed."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from apps.imports.adapters.cell_texts import ColumnTexts
from apps.imports.adapters.cells import CODE
from apps.imports.adapters.grids import Grid, grid_of
from apps.imports.adapters.mapping.signatures import signature
from apps.imports.adapters.mapping.suggesting import as_code
from apps.imports.adapters.partial import with_columns
from apps.imports.adapters.sources import RefusedFileError, Source, SourceRow
from apps.imports.adapters.table_reading import source_of
from apps.imports.adapters.tables import TABLES, RegisterTable

MAP_AGAIN = "Upload the file again and say which column is which."


def read_mapped(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """The rows of the file ``content``, as ``how`` says.

    ``how``: ``table``, the file name of the table; ``sheet``; ``signature`` of the headings;
    ``columns``, ours for each of the file's, or nothing; ``values``, of a column word to value.
    """
    grid = grid_of(name, content, sheet=how["sheet"])
    if signature(grid.heads) != how["signature"]:
        raise RefusedFileError(f"{name} has other headings than before.", remedy=MAP_AGAIN)
    named = {column: at for at, column in enumerate(how["columns"]) if column}
    table = with_columns(TABLES[how["table"]], named)
    headings = {column: grid.heads[at] for column, at in named.items()}
    rows = _rows(table, named, how["values"], grid)
    title = grid.title if grid.sheets else table.title
    return source_of(table, title, headings, rows, grid)


def _rows(
    table: RegisterTable,
    named: Mapping[str, int],
    values: Mapping[str, Mapping[str, str]],
    grid: Grid,
) -> Iterator[SourceRow]:
    readers = [
        (column, at, _reader(table, column, values.get(column, {}))) for column, at in named.items()
    ]
    for line, cells in grid.rows:
        read = {column: reader(cells[at]) for column, at, reader in readers if cells[at]}
        if read:
            yield SourceRow(line, read)


def _reader(table: RegisterTable, column: str, words: Mapping[str, str]) -> Callable[[str], str]:
    texts = ColumnTexts(table.fields[column])

    def read(cell: str) -> str:
        text = words.get(cell, cell)
        if column == "code" and not CODE.fullmatch(text):
            return as_code(text)
        return texts(text)

    return read
