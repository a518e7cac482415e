"""Points and outlines as RFC 7946 has them: longitude before latitude, in degrees, on WGS 84.

Section numbers are those of RFC 7946, "The GeoJSON Format".
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from apps.imports.adapters.rings import Position, Ring, inside, signed_area, strictly_inside

MOST_DECIMALS = 7
"""A centimetre; section 11.2 asks for no more digits than the places deserve."""
FEWEST_POSITIONS = 4  # section 3.1.6
HALF_WAY_ROUND = 180.0
CUT = "Cut the outline at longitude 180 into a MultiPolygon, as RFC 7946, section 3.1.9, asks."

Polygon = list[Ring]


class GeometryError(ValueError):
    """A geometry that cannot be used: what is wrong, and what to do about it."""

    def __init__(self, reason: str, *, remedy: str, value: object = "") -> None:
        self.reason, self.remedy, self.value = reason, remedy, value
        super().__init__(f"{reason}. {remedy}")


@dataclass(frozen=True)
class Outline:
    """The land of an area. ``repaired``: what was put right in it, in words."""

    polygons: tuple[Polygon, ...]
    repaired: tuple[str, ...] = ()

    @property
    def as_json(self) -> dict[str, Any]:
        """A Polygon, or a MultiPolygon where the land has several parts."""
        parts = [[[list(each) for each in ring] for ring in rings] for rings in self.polygons]
        if len(parts) == 1:
            return {"type": "Polygon", "coordinates": parts[0]}
        return {"type": "MultiPolygon", "coordinates": parts}

    @property
    def corners(self) -> list[Position]:
        return [corner for rings in self.polygons for ring in rings for corner in ring]

    def holds(self, longitude: float, latitude: float) -> bool:
        """Whether the place lies in the land or on its border, and not in a hole of it."""
        place = (longitude, latitude)
        return any(
            inside(rings[0], place) and not any(strictly_inside(hole, place) for hole in rings[1:])
            for rings in self.polygons
        )


def point(geometry: Any) -> Position:
    """The position of a Point, rounded to seven decimals. Raises ``GeometryError``."""
    if not isinstance(geometry, dict) or geometry.get("type") != "Point":
        raise GeometryError(
            f"is {_kind(geometry)}, expected a Point", remedy="Give one position for each site."
        )
    return _rounded(_position(geometry.get("coordinates")))


def outline(geometry: Any) -> Outline:
    """The land of a Polygon or MultiPolygon, in the order and precision of the standard.

    Rings that go the wrong way round are turned, as section 3.1.6 asks of writers and forgives
    to others; decimals beyond the seventh and heights are dropped. All of it is told.

    Raises ``GeometryError`` for a ring that is open, too short, of no area, or that crosses
    longitude 180, and for positions that are none.
    """
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind not in ("Polygon", "MultiPolygon"):
        raise GeometryError(
            f"is {_kind(geometry)}, expected a Polygon or a MultiPolygon",
            remedy="Draw the land that the area covers.",
        )
    given = geometry.get("coordinates")
    raw = [given] if kind == "Polygon" else given
    if not isinstance(raw, list) or not raw or not all(isinstance(each, list) for each in raw):
        raise GeometryError(
            "has no coordinates", remedy="Give a list of rings, the outer one first."
        )
    repairs: dict[str, None] = {}
    polygons = tuple(_polygon(rings, repairs) for rings in raw)
    return Outline(polygons, tuple(repairs))


def stored_outline(kept: Any) -> Outline | None:
    """The outline that the register keeps of an area; ``None`` where it keeps none."""
    return outline(kept) if kept else None


def _polygon(rings: Any, repairs: dict[str, None]) -> Polygon:
    if not isinstance(rings, list) or not rings:
        raise GeometryError("has a part without rings", remedy="Remove the part, or draw it.")
    found = [_ring(ring, repairs) for ring in rings]
    turned = [_wound(ring, outer=at == 0) for at, ring in enumerate(found)]
    if turned != found:
        repairs["rings that went the wrong way round were turned"] = None
    return turned


def _ring(raw: Any, repairs: dict[str, None]) -> Ring:
    if not isinstance(raw, list):
        raise GeometryError("has a ring that is no list", remedy="Give a list of positions.")
    given = [_position(each) for each in raw]
    if len(given) < FEWEST_POSITIONS or given[0] != given[-1]:
        raise GeometryError(
            f"has a ring of {len(given)} positions that does not close",
            remedy="A ring has at least four positions, and the last repeats the first.",
        )
    ring = [_rounded(each) for each in given]
    if ring != given:
        repairs[f"decimals beyond the {MOST_DECIMALS}th were dropped"] = None
    if any(isinstance(each, list) and len(each) > 2 for each in raw):
        repairs["heights were dropped"] = None
    if any(abs(x - a) > HALF_WAY_ROUND for (x, _), (a, _) in pairwise(ring)):
        raise GeometryError("has a border that crosses longitude 180", remedy=CUT)
    if not signed_area(ring):
        raise GeometryError("has a ring without any land in it", remedy="Draw it again.")
    return ring


def _wound(ring: Ring, *, outer: bool) -> Ring:
    """Outer rings counter-clockwise, holes clockwise (section 3.1.6)."""
    return ring if (signed_area(ring) > 0) == outer else ring[::-1]


def _position(raw: Any) -> Position:
    numbers = raw[:2] if isinstance(raw, list) else []
    if len(numbers) < 2 or not all(type(each) in (int, float) for each in numbers):
        raise GeometryError(
            "has something that is no position", remedy="Write [longitude, latitude].", value=raw
        )
    longitude, latitude = map(float, numbers)
    if not (-180 <= longitude <= 180 and -90 <= latitude <= 90):
        raise GeometryError(
            "has a position that is on no map",
            remedy="Write degrees, longitude (-180 to 180) before latitude (-90 to 90).",
            value=raw,
        )
    return longitude, latitude


def _rounded(position: Position) -> Position:
    longitude, latitude = (round(each, MOST_DECIMALS) for each in position)
    return longitude, latitude


def _kind(geometry: Any) -> str:
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    return "empty" if geometry is None else str(kind or "no geometry")
