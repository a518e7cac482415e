"""Where a name stands on a drawing: clear of the marks, as near to its place as that allows."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

# Of a letter, in the drawing's units; system fonts differ, so a little generous.
LETTER_WIDTH, LETTER_HEIGHT = 8.6, 13.0
STEP = 12
REACH = 6

Corner = tuple[float, float]


@dataclass(frozen=True)
class Box:
    """An upright rectangle around (x, y)."""

    x: float
    y: float
    width: float
    height: float

    def meets(self, other: "Box") -> bool:
        across = abs(self.x - other.x) * 2 < self.width + other.width
        return across and abs(self.y - other.y) * 2 < self.height + other.height

    @property
    def corners(self) -> Iterator[Corner]:
        for right in (-0.5, 0.5):
            for down in (-0.5, 0.5):
                yield self.x + right * self.width, self.y + down * self.height


def text_box(text: str, x: float, y: float) -> Box:
    """The room that ``text`` takes when its middle stands at (x, y)."""
    return Box(x, y, LETTER_WIDTH * len(text), LETTER_HEIGHT)


def within(text: str, ring: Sequence[Corner], taken: Sequence[Box]) -> Box:
    """The room for ``text`` inside ``ring``: meeting fewest boxes, then nearest its centre."""
    x, y = centre(ring)
    steps = [STEP * step for step in range(-REACH, REACH + 1)]
    rooms = [text_box(text, x + right, y + down) for right in steps for down in steps]
    inside = [room for room in rooms if all(_holds(ring, corner) for corner in room.corners)]
    return min(
        inside or [text_box(text, x, y)],
        key=lambda room: (_met(room, taken), hypot(room.x - x, room.y - y)),
    )


def beside(text: str, mark: Box, taken: Sequence[Box]) -> Box:
    """The room for ``text`` above, below, right or left of ``mark``: meeting fewest boxes."""
    up = (mark.height + LETTER_HEIGHT) / 2
    right = (mark.width + LETTER_WIDTH * len(text)) / 2
    ways = ((0, -up), (0, up), (right, 0), (-right, 0))
    rooms = [text_box(text, mark.x + across, mark.y + along) for across, along in ways]
    return min(rooms, key=lambda room: _met(room, taken))


def area(ring: Sequence[Corner]) -> float:
    """Signed area of a closed ring, by the shoelace formula."""
    return sum(x * v - u * y for (x, y), (u, v) in pairwise(ring)) / 2


def centre(ring: Sequence[Corner]) -> Corner:
    """Centre of gravity of a closed ring; of one without an area, its first corner."""
    size = area(ring)
    if not size:
        return ring[0]
    weights = [(x * v - u * y, x + u, y + v) for (x, y), (u, v) in pairwise(ring)]
    across = sum(weight * east for weight, east, _ in weights) / (6 * size)
    along = sum(weight * south for weight, _, south in weights) / (6 * size)
    return across, along


def _met(room: Box, taken: Iterable[Box]) -> int:
    return sum(room.meets(box) for box in taken)


def _holds(ring: Sequence[Corner], corner: Corner) -> bool:
    """Whether the corner lies inside: a ray from it crosses the ring an odd number of times."""
    x, y = corner
    crossings = (
        u + (y - v) * (t - u) / (w - v) for (u, v), (t, w) in pairwise(ring) if (v > y) != (w > y)
    )
    return sum(crossing > x for crossing in crossings) % 2 == 1
