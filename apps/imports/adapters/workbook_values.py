"""What a workbook is given out with: known rows, remembered, and lines prepared for answers."""

import datetime as dt
import hashlib
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from django.db.models import Field, ForeignKey

from apps.imports.adapters.kept import packed
from apps.imports.adapters.register_rows import Places
from apps.imports.adapters.tables import RegisterTable

PIECE_ROWS = 2000
MOST_PREPARED = 20_000
PREPARED = {
    "staff_held.csv": "cadre",
    "skills_held.csv": "skill",
    "consumables_held.csv": "consumable",
    "infrastructure_held.csv": "infrastructure",
}
"""Sheets that ask of every site about everything that the catalogue has of a kind."""

Line = tuple[Any, ...]


class GivenOutRows:
    """Remembers the rows that pass: ``pieces``, by sheet, and ``digest`` of them all."""

    def __init__(self) -> None:
        self.pieces: list[tuple[str, bytes]] = []
        self.row_count = 0
        self._sha256 = hashlib.sha256()

    def passing(self, table: RegisterTable, rows: Iterable[Line]) -> Iterator[Line]:
        names, waiting = table.sheet.columns, []
        for row in rows:
            waiting.append(dict(zip(names, map(_kept, row), strict=True)))
            if len(waiting) == PIECE_ROWS:
                self._keep(table, waiting)
                waiting = []
            yield row
        self._keep(table, waiting)

    @property
    def digest(self) -> str:
        return self._sha256.hexdigest()

    def _keep(self, table: RegisterTable, rows: list[dict[str, Any]]) -> None:
        if rows:
            content = packed(rows)
            self._sha256.update(content)
            self.pieces.append((table.file, content))
            self.row_count += len(rows)


def prepared(table: RegisterTable, rows: Iterable[Line], places: Places) -> Iterable[Line]:
    """``rows``, and between them a line for all that is not known yet of each site."""
    asked = PREPARED.get(table.file)
    if asked is None:
        return rows
    codes = [*places.sites.order_by("code").values_list("code", flat=True)]
    asked_codes = _all(table.fields[asked])
    if len(codes) * len(asked_codes) > MOST_PREPARED:
        return rows
    at = [table.sheet.columns.index(name) for name in table.sheet.key]
    known = {tuple(row[place] for place in at): row for row in rows}
    empty = [None] * len(table.sheet.columns)
    for pair in ((site, code) for site in codes for code in asked_codes):
        if pair not in known:
            line = list(empty)
            for place, part in zip(at, pair, strict=True):
                line[place] = part
            known[pair] = tuple(line)
    return [known[pair] for pair in sorted(known)]


def _all(asked: Field) -> list[str]:
    """Every code that ``asked`` may have."""
    if isinstance(asked, ForeignKey):
        return [
            *asked.related_model._default_manager.order_by("code").values_list("code", flat=True)
        ]
    return [value for value, _ in asked.flatchoices if value]


def _kept(value: Any) -> Any:
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return value
