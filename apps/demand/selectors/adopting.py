"""What adopting estimates would change, and which adoption may be taken back."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from apps.audit.models import Entry
from apps.audit.selectors import latest_entry
from apps.demand.selectors.cells import Estimate
from apps.facilities.models import Area

ADOPTED, RESTORED = "demand.adopted", "demand.restored"
Cell = tuple[str, str]
Row = tuple[float, str, int]


@dataclass(frozen=True)
class Adoption:
    """What adopting estimates comes to: cell by cell, what stands there and what would.

    ``rows``: facility and test, by their codes, to tests a year before (``None``: none was
    adopted), and the row that follows from the estimate: tests a year, basis, year.
    ``digest`` says all of it.
    """

    rows: Mapping[Cell, tuple[float | None, Row]]
    digest: str

    @property
    def before(self) -> float:
        return sum(before or 0.0 for before, _ in self.rows.values())

    @property
    def after(self) -> float:
        return sum(row[0] for _, row in self.rows.values())


def adoption_of(estimates: Iterable[Estimate], basis: str = "") -> Adoption:
    """What adopting a figure of each of ``estimates`` would change; no query.

    The figure by ``basis``, or else the one to go by. In whole tests, for estimates are not
    finer. What stands there already is left out.
    """
    rows = {}
    for each in estimates:
        figure = each.figure(basis) if basis else each.chosen
        if figure is None or figure.tests_per_year is None:
            continue
        row = float(round(figure.tests_per_year)), figure.basis, each.assumptions.year
        held = each.adopted
        if held is None or (held.tests_per_year, held.basis, held.year) != row:
            key = each.facility.code, each.test.code
            rows[key] = (held.tests_per_year if held else None), row
    return Adoption(rows, hashlib.sha256(repr(sorted(rows.items())).encode()).hexdigest())


def adoption_to_take_back(district: Area) -> Entry | None:
    """The history's entry of the latest adoption, unless that was taken back; two queries."""
    entry = latest_entry(ADOPTED, area=district.code)
    taken_back = latest_entry(RESTORED, area=district.code)
    if entry and taken_back and taken_back.after["entry"] == entry.pk:
        return None
    return entry


def as_text(rows: Mapping[Cell, Row | None]) -> dict[str, list[Any] | None]:
    """Rows as the history keeps them, under ``facility/test``."""
    return {"/".join(key): list(row) if row else None for key, row in rows.items()}


def as_rows(texts: Mapping[str, list[Any] | None]) -> dict[Cell, Row | None]:
    """The rows that ``as_text`` wrote."""
    return {tuple(text.split("/")): tuple(row) if row else None for text, row in texts.items()}
