"""The map of a district: its own outlines and its sites, as the parts of one SVG drawing.

No tiles and no libraries: longitudes are shrunk by the cosine of the middle latitude, which
over one district keeps shapes true to well below the width of a line.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from math import cos, radians, sqrt

from django.utils.translation import gettext

from apps.facilities.choices import Level
from apps.web.figures import figures
from apps.web.labels import Box, area, beside, within
from apps.web.places import Place, Region, Spot, StatePlace
from apps.web.shapes import outline

WIDTH = 640.0
MARGIN = 26.0
RADIUS_LEAST, RADIUS_MOST = 5.0, 17.0
# A mark that carries a glyph needs room for it.
RADIUS_GLYPH = 8.0
# Areas carry names; of the sites only the largest do, or the names would cover the marks.
NAMED_LEVEL = Level.DISTRICT_HOSPITAL


@dataclass(frozen=True)
class Point:
    """A site on the drawing, in the room of ``mark``."""

    place: Place | StatePlace
    path: str
    mark: Box
    label: Box | None

    @property
    def title(self) -> str:
        """Name, level, people and what it can do: for resting pointers and screen readers."""
        site = self.place
        people = gettext("people not known")
        if site.population is not None:
            people = gettext("%(people)s people") % {"people": figures(site.population)}
        return f"{site.name}, {Level(site.level).label}: {people}, {site.says}"


@dataclass(frozen=True)
class Land:
    name: str
    path: str
    label: Box


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


def draw(
    places: Sequence[Place] | Sequence[StatePlace],
    regions: Sequence[Region],
    *,
    least: float = RADIUS_LEAST,
) -> Drawing | None:
    """The drawing of ``places`` within ``regions``; ``None`` where there is nothing to draw.

    ``least`` is the radius of the smallest mark.
    """
    corners = [(place.longitude, place.latitude) for place in places]
    for region in regions:
        corners += chain.from_iterable(region.rings)
    if not corners:
        return None
    project, height = _fitted(corners)
    most = max((place.population or 0 for place in places), default=0)
    # Large ones first, so that a small site beside a hospital stays on top of it.
    ordered = sorted(places, key=lambda place: (-(place.population or 0), place.code))
    marks = [_mark(place, most, project, least) for place in ordered]
    points = tuple(_point(place, mark, marks) for place, mark in zip(ordered, marks, strict=True))
    taken = [*marks, *(point.label for point in points if point.label)]
    return Drawing(
        view_box=f"0 0 {WIDTH:.0f} {height:.0f}",
        lands=tuple(_land(region, project, taken) for region in regions),
        points=points,
    )


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


def _mark(place: Spot, most: int, project: _Projection, least: float) -> Box:
    """The room of a site's mark, whose area grows with the people."""
    radius = least
    if place.population and most:
        radius = max(least, RADIUS_MOST * sqrt(place.population / most))
    return Box(*project(place.longitude, place.latitude), 2 * radius, 2 * radius)


def _point(place: Place | StatePlace, mark: Box, marks: Sequence[Box]) -> Point:
    named = place.level == NAMED_LEVEL
    return Point(
        place=place,
        path=outline(place.level, x=mark.x, y=mark.y, radius=mark.width / 2),
        mark=mark,
        label=beside(place.name, mark, marks) if named else None,
    )


def _land(region: Region, project: _Projection, taken: Sequence[Box]) -> Land:
    rings = [[project(*corner) for corner in ring] for ring in region.rings]
    path = "".join(
        "M" + " ".join(f"{x:.1f},{y:.1f}" for x, y in corners) + "Z" for corners in rings
    )
    largest = max(rings, key=lambda corners: abs(area(corners)))
    return Land(region.name, path, within(region.name, largest, taken))


def _ends(values: Iterable[float]) -> tuple[float, float]:
    listed = list(values)
    return min(listed), max(listed)
