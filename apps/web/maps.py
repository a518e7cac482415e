"""The map of a district: its own outlines and its sites, as the parts of one SVG drawing.

No tiles and no libraries: longitudes are shrunk by the cosine of the middle latitude, which
over one district keeps shapes true to well below the width of a line.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from math import cos, radians, sqrt
from typing import Any

from django.utils.translation import gettext

from apps.facilities.choices import Level
from apps.web.figures import figures
from apps.web.shapes import outline

WIDTH = 640.0
MARGIN = 26.0
RADIUS_LEAST, RADIUS_MOST = 5.0, 17.0
RADIUS_UNKNOWN = 5.0
NAMED_FROM_LEVEL = 3
SHADES = 5


@dataclass(frozen=True)
class Place:
    """A site to be drawn: ``can`` of ``expected`` tests; population ``None`` is unknown."""

    code: str
    name: str
    level: int
    latitude: float
    longitude: float
    population: int | None
    can: int
    expected: int


@dataclass(frozen=True)
class Region:
    """An area to be drawn: its GeoJSON Polygon or MultiPolygon, longitude before latitude."""

    name: str
    outline: dict[str, Any]


@dataclass(frozen=True)
class Point:
    """A site on the drawing; ``shade`` is ``none`` (nothing, or nothing expected) or 1 to 5."""

    place: Place
    path: str
    shade: str
    x: str
    label_y: str
    is_named: bool

    @property
    def title(self) -> str:
        """Name, level, people and tests, for a pointer that rests and for screen readers."""
        site = self.place
        people = gettext("people not known")
        if site.population is not None:
            people = gettext("%(people)s people") % {"people": figures(site.population)}
        tests = gettext("%(can)d of %(expected)d tests") % {
            "can": site.can,
            "expected": site.expected,
        }
        return f"{site.name}, {Level(site.level).label}: {people}, {tests}"


@dataclass(frozen=True)
class Land:
    name: str
    path: str
    x: str
    y: str


@dataclass(frozen=True)
class Drawing:
    """What the template draws; ``view_box`` is ready for the attribute of that name."""

    view_box: str
    lands: tuple[Land, ...]
    points: tuple[Point, ...]


@dataclass(frozen=True)
class _Projection:
    west: float
    north: float
    squeeze: float
    scale: float

    def __call__(self, longitude: float, latitude: float) -> tuple[float, float]:
        x = (longitude - self.west) * self.squeeze * self.scale + MARGIN
        return x, (self.north - latitude) * self.scale + MARGIN


def draw(places: Sequence[Place], regions: Sequence[Region]) -> Drawing | None:
    """The drawing of ``places`` within ``regions``; ``None`` where there is nothing to draw."""
    corners = [(place.longitude, place.latitude) for place in places]
    for region in regions:
        corners += chain.from_iterable(_rings(region.outline))
    if not corners:
        return None
    project, height = _fitted(corners)
    most = max((place.population or 0 for place in places), default=0)
    # Large ones first, so that a small site beside a hospital stays on top of it.
    ordered = sorted(places, key=lambda place: (-(place.population or 0), place.code))
    return Drawing(
        view_box=f"0 0 {WIDTH:.0f} {height:.0f}",
        lands=tuple(_land(region, project) for region in regions),
        points=tuple(_point(place, most, project) for place in ordered),
    )


def shade(can: int, expected: int) -> str:
    """``none`` for nothing, else the fifth of the whole that ``can`` reaches, 1 to 5."""
    if not expected or not can:
        return "none"
    return str(min(SHADES, int(SHADES * can / expected) + 1))


def _fitted(corners: Sequence[tuple[float, float]]) -> tuple[_Projection, float]:
    west, east = _ends(longitude for longitude, _ in corners)
    south, north = _ends(latitude for _, latitude in corners)
    squeeze = cos(radians((south + north) / 2))
    # A single site, or sites in one line, still need some land around them.
    across, along = max((east - west) * squeeze, 0.01), max(north - south, 0.01)
    scale = min((WIDTH - 2 * MARGIN) / across, (1.4 * WIDTH - 2 * MARGIN) / along)
    spare = (WIDTH - 2 * MARGIN) / scale - across
    projection = _Projection(west - spare / 2 / squeeze, north, squeeze, scale)
    return projection, along * scale + 2 * MARGIN


def _point(place: Place, most: int, project: _Projection) -> Point:
    x, y = project(place.longitude, place.latitude)
    radius = RADIUS_UNKNOWN
    if place.population and most:
        radius = max(RADIUS_LEAST, RADIUS_MOST * sqrt(place.population / most))
    return Point(
        place=place,
        path=outline(place.level, x=x, y=y, radius=radius),
        shade=shade(place.can, place.expected),
        x=f"{x:.1f}",
        label_y=f"{y - 1.3 * radius - 3:.1f}",
        is_named=place.level >= NAMED_FROM_LEVEL,
    )


def _land(region: Region, project: _Projection) -> Land:
    parts, xs, ys = [], [], []
    for ring in _rings(region.outline):
        corners = [project(longitude, latitude) for longitude, latitude in ring]
        parts.append("M" + " ".join(f"{x:.1f},{y:.1f}" for x, y in corners) + "Z")
        xs += [x for x, _ in corners]
        ys += [y for _, y in corners]
    middle_x, middle_y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return Land(region.name, "".join(parts), f"{middle_x:.1f}", f"{middle_y:.1f}")


def _rings(geometry: dict[str, Any]) -> Iterator[list[tuple[float, float]]]:
    polygons = geometry["coordinates"]
    if geometry["type"] == "Polygon":
        polygons = [polygons]
    for polygon in polygons:
        for ring in polygon:
            yield [(corner[0], corner[1]) for corner in ring]


def _ends(values: Iterable[float]) -> tuple[float, float]:
    listed = list(values)
    return min(listed), max(listed)
