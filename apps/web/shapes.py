"""The outline that stands for each level of care, on the map and beside its name."""

from math import cos, pi, sin

from apps.facilities.choices import Level

# Corners and the turn of the first one; a circle has none. Hospitals are a little larger
# for the same people, so that four corners and six read as more than a disc.
CORNERS = {Level.HEALTH_CENTRE: 3, Level.BLOCK_HOSPITAL: 4, Level.DISTRICT_HOSPITAL: 6}
ENLARGED = {3: 1.3, 4: 1.2, 6: 1.1}


def outline(level: int, *, x: float = 0, y: float = 0, radius: float) -> str:
    """SVG path data of the shape of ``level`` around (x, y); lengths in the drawing's units."""
    corners = CORNERS.get(Level(level)) if level in Level.values else None
    if corners is None:
        arc = f"a{radius:.1f},{radius:.1f} 0 1 0"
        return f"M{x - radius:.1f},{y:.1f}{arc} {2 * radius:.1f},0{arc} {-2 * radius:.1f},0Z"
    reach = radius * ENLARGED[corners]
    turns = [2 * pi * corner / corners - pi / 2 for corner in range(corners)]
    points = (f"{x + reach * cos(turn):.1f},{y + reach * sin(turn):.1f}" for turn in turns)
    return f"M{' '.join(points)}Z"
