"""Sites with what they can do, ready for the list and for the map."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from apps.coverage.choices import State
from apps.web.places import Place

EXPECTED = (State.RUNS, State.REFERRED, State.BLOCKED, State.UNKNOWN)


@dataclass(frozen=True)
class SiteRow:
    """A facility and how many of the tests expected of it it can run itself."""

    facility: Any
    can: int
    expected: int

    @property
    def share(self) -> float:
        return self.can / self.expected if self.expected else -1

    @property
    def place(self) -> Place:
        site = self.facility
        return Place(
            code=site.code,
            name=site.name,
            level=site.level,
            latitude=site.latitude,
            longitude=site.longitude,
            population=site.population,
            can=self.can,
            expected=self.expected,
        )


# Unknown populations and sites of which nothing is expected come lowest.
ORDERS: dict[str, Callable[[SiteRow], Any]] = {
    "name": lambda row: row.facility.name,
    "block": lambda row: row.facility.area.name,
    "level": lambda row: row.facility.level,
    "people": lambda row: -1 if row.facility.population is None else row.facility.population,
    "share": lambda row: row.share,
}


def site_rows(
    facilities: Iterable[Any], tallies: Mapping[int, Mapping[str, int]], *, order: str
) -> list[SiteRow]:
    """One row for each facility, sorted by a name in ``ORDERS``, ``-`` for downwards.

    ``tallies``: facility id to state to number of tests. An unknown order is by name.
    """
    rows = [_row(facility, tallies.get(facility.pk, {})) for facility in facilities]
    rows.sort(key=ORDERS["name"])
    rows.sort(key=ORDERS.get(order.removeprefix("-"), ORDERS["name"]), reverse=order[:1] == "-")
    return rows


def _row(facility: Any, tally: Mapping[str, int]) -> SiteRow:
    expected = sum(tally.get(state, 0) for state in EXPECTED)
    return SiteRow(facility, tally.get(State.RUNS, 0), expected)
