"""The outlines of areas, and what lies in them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from apps.facilities.choices import AreaKind
from apps.facilities.models import Area
from apps.imports.adapters.geometry import GeometryError, Outline, stored_outline


@dataclass(frozen=True)
class Spot:
    """Where a row of a file puts a site."""

    line: int
    code: str
    name: str
    area: str
    latitude: float
    longitude: float

    @property
    def called(self) -> str:
        return f"{self.name} ({self.code})" if self.name else self.code


class Lands:
    """The outlines of areas, and the district that each lies in; ``drawn`` go before the
    register's own."""

    def __init__(self, drawn: Mapping[str, Outline] | None = None) -> None:
        rows = list(Area.objects.values("code", "name", "kind", "parent__code", "outline"))
        self._names = {row["code"]: row["name"] for row in rows}
        self._parents = {row["code"]: row["parent__code"] for row in rows}
        self._districts = {row["code"] for row in rows if row["kind"] == AreaKind.DISTRICT}
        self._outlines = {row["code"]: _legible(row["outline"]) for row in rows} | dict(drawn or {})

    def name(self, code: str) -> str:
        return self._names.get(code, code)

    def parent(self, code: str) -> str | None:
        return self._parents.get(code)

    def outline(self, code: str | None) -> Outline | None:
        return self._outlines.get(code) if code else None

    def district(self, code: str) -> str | None:
        """The district that the area ``code`` is, or lies in."""
        at: str | None = code
        while at is not None and at not in self._districts:
            at = self._parents.get(at)
        return at

    def blocks_at(self, spot: Spot) -> list[str]:
        """The areas below the district that hold the spot, by their outlines."""
        within = self.district(spot.area)
        return [
            code
            for code, land in self._outlines.items()
            if land and code != within and self.district(code) == within
            if land.holds(spot.longitude, spot.latitude)
        ]


def _legible(kept: Any) -> Outline | None:
    try:
        return stored_outline(kept)
    except GeometryError:
        return None  # it was kept before outlines were checked
