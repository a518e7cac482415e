"""What a map of a district shows: its sites, by how much or what they can do, and its areas."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.coverage.choices import State
from apps.facilities.choices import AreaKind

SHADES = 5
# Filled is yes; the others carry the glyphs of the grid.
GLYPHS = {State.REFERRED: "→", State.BLOCKED: "×", State.UNKNOWN: "?", State.NOT_EXPECTED: "·"}


@dataclass(frozen=True)
class Spot:
    """A site to be drawn; population ``None`` is unknown."""

    code: str
    name: str
    level: int
    latitude: float
    longitude: float
    population: int | None


@dataclass(frozen=True)
class Place(Spot):
    """A site with how much it can do: ``can`` of ``expected`` tests."""

    can: int
    expected: int

    @property
    def style(self) -> str:
        return f"share-{shade(self.can, self.expected)}"

    @property
    def says(self) -> str:
        return gettext("%(can)d of %(expected)d tests") % {
            "can": self.can,
            "expected": self.expected,
        }


@dataclass(frozen=True)
class StatePlace(Spot):
    """A site with what it can do about one test, a value of ``State``."""

    state: str

    @property
    def style(self) -> str:
        return f"at-{self.state}"

    @property
    def glyph(self) -> str:
        return GLYPHS.get(State(self.state), "")

    @property
    def says(self) -> str:
        return str(State(self.state).label)


@dataclass(frozen=True)
class Region:
    """An area to be drawn: its GeoJSON Polygon or MultiPolygon, longitude before latitude."""

    name: str
    outline: dict[str, Any]

    @property
    def rings(self) -> Iterator[list[tuple[float, float]]]:
        """Every closed ring of the outline, as longitudes and latitudes."""
        polygons = self.outline["coordinates"]
        for polygon in [polygons] if self.outline["type"] == "Polygon" else polygons:
            for ring in polygon:
                yield [(corner[0], corner[1]) for corner in ring]


def regions(areas: Iterable[Any], district: Any) -> list[Region]:
    """The blocks that have an outline; where none has, the district itself."""
    blocks = [area for area in areas if area.kind == AreaKind.BLOCK]
    drawn = [area for area in blocks if area.outline] or [district]
    return [Region(area.name, area.outline) for area in drawn if area.outline]


def shade(can: int, expected: int) -> str:
    """``none`` for nothing, else the fifth of the whole that ``can`` reaches, 1 to 5."""
    if not expected or not can:
        return "none"
    return str(min(SHADES, int(SHADES * can / expected) + 1))
