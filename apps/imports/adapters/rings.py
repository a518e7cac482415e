"""Closed rings in a plane: which way they go round, and what lies in them."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

Position = tuple[float, float]
Ring = list[Position]


def signed_area(ring: Sequence[Position]) -> float:
    """Square degrees, above 0 where the closed ``ring`` goes counter-clockwise."""
    return sum(x * b - a * y for (x, y), (a, b) in pairwise(ring)) / 2


def inside(ring: Ring, place: Position) -> bool:
    """Whether the place lies in the ring or on it."""
    return _on_border(ring, place) or strictly_inside(ring, place)


def strictly_inside(ring: Ring, place: Position) -> bool:
    """By the even-odd rule: how often a way out to the east crosses the border."""
    x, y = place
    crossings = (
        x < a + (y - b) / (d - b) * (c - a) for (a, b), (c, d) in _edges(ring) if (b > y) != (d > y)
    )
    return not _on_border(ring, place) and sum(crossings) % 2 == 1


def _on_border(ring: Ring, place: Position) -> bool:
    x, y = place
    return any(
        (c - a) * (y - b) == (d - b) * (x - a)
        and min(a, c) <= x <= max(a, c)
        and min(b, d) <= y <= max(b, d)
        for (a, b), (c, d) in _edges(ring)
    )


def _edges(ring: Ring) -> Iterator[tuple[Position, Position]]:
    return pairwise(ring)
