"""The file of travel times, and those that a person may name in one."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, QuerySet

from apps.facilities.models import Facility, TravelTime
from apps.imports.adapters.known import Key, Known
from apps.imports.adapters.sheets import Sheet


def check_travel_time(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    if row["origin"] == row["destination"]:
        yield "origin and destination are the same facility. Name two, or remove the row."


TRAVEL_TIMES = Sheet(
    "travel_times.csv",
    TravelTime,
    ("origin", "destination", "mode", "season", "hours", "source", "measured_on"),
    key=("origin", "destination", "mode", "season"),
    check=check_travel_time,
)


@dataclass(frozen=True)
class Upload:
    """A file that came over the network and lies nowhere; it is read like one that does."""

    name: str
    content: bytes

    def read_bytes(self) -> bytes:
        return self.content


class KnownAmong(Known):
    """What files may name, of facilities only those in ``facilities``.

    Any other is as absent as one that is not there, so that nobody learns what there is
    elsewhere, nor changes it.
    """

    def __init__(self, facilities: QuerySet[Facility]) -> None:
        super().__init__()
        self._codes = frozenset(facilities.order_by().values_list("code", flat=True))

    def of(self, model: type[Model]) -> dict[Key, int | None]:
        rows = super().of(model)
        if model is not Facility:
            return rows
        return {key: pk for key, pk in rows.items() if key[0] in self._codes}
