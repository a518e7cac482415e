"""Relative centrifugal force over radius: lines of constant speed, what procedures need, a claim.

Force runs upwards by powers of ten, radius to the right. On such a scale all speeds draw the
same curve, only higher or lower, and a procedure's band of force is as tall wherever it lies.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import floor, inf, log10

import numpy as np

from apps.web.figures import figures
from apps.web.labels import Box
from apps.web.spin_marks import (
    HEIGHT,
    LABEL,
    LANE,
    MARK,
    RIGHT,
    TOP,
    WIDTH,
    Band,
    Bar,
    Line,
    Mark,
    SpinDrawing,
    Spot,
)
from apps.web.spin_scale import Scale, fitting, force_ticks, radius_ticks
from planner.engine.physics.spin import rcf_g

STEPS = 48
SPEEDS_RPM = (
    100, 250, 500, 1000, 2000, 3000, 5000, 10_000, 20_000, 50_000, 100_000, 200_000, 500_000,
)  # fmt: skip
SPEED_TABLE_RPM = (500, 1000, 1500, 2000, 3000, 4000, 5000, 10_000, 12_000, 15_000)
TABLE_RADII_CM = (2.0, 5.0, 8.0, 10.0, 12.0, 15.0, 18.0)


def draw_spin(
    bands: Sequence[Band],
    spots: Sequence[Spot] = (),
    *,
    speed: float | None = None,
    force: float | None = None,
) -> SpinDrawing:
    """The drawing of ``bands`` with a claim: its ``spots``, its ``speed`` (rpm), its ``force`` (g).

    The scales are as wide as the bands and the claim need, so that nothing is cut off.
    """
    scale = fitting(bands, spots, force)
    marks = tuple(Mark(s.kind, scale.x(s.radius_cm), scale.y(s.rcf_g)) for s in spots)
    return SpinDrawing(
        view_box=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
        force_ticks=tuple(force_ticks(scale)),
        radius_ticks=tuple(radius_ticks(scale)),
        lines=_lines(speed, scale, [Box(mark.x, mark.y, MARK, MARK) for mark in marks]),
        bars=_bars(bands, scale),
        marks=marks,
        level=scale.y(force) if force is not None else None,
    )


def force_table(speeds: Iterable[float], radii_cm: Sequence[float]) -> list[tuple[str, list[str]]]:
    """The curves as numbers: each speed with its force in g at each radius."""
    return [
        (figures(speed), [_rounded(float(force)) for force in rcf_g(speed, np.array(radii_cm))])
        for speed in speeds
    ]


def _rounded(force_g: float) -> str:
    """Three digits are what a radius measured by hand allows."""
    places = max(0, 2 - floor(log10(force_g)))
    return figures(float(f"{force_g:.3g}"), places)


def _lines(claimed: float | None, scale: Scale, taken: list[Box]) -> tuple[Line, ...]:
    """The claimed speed last, on top; of the others a name that would cover another is left out."""
    lines = []
    if claimed is not None and (own := _line(claimed, scale, claimed=True)) is not None:
        own = _clear(own, taken)
        lines.append(own)
        taken.append(own.room)
    for speed in SPEEDS_RPM:
        line = _line(speed, scale)
        if line is None or speed == claimed:
            continue
        if any(line.room.meets(box) for box in taken):
            line = replace(line, label="")
        taken.append(line.room)
        lines.append(line)
    return tuple(reversed(lines))


def _clear(line: Line, taken: Sequence[Box]) -> Line:
    """``line`` with its label moved down along the curve until no mark covers it."""
    corners = [corner.split(",") for corner in line.path[1:].split()]
    moved = (
        replace(line, x=float(x) - 4, y=float(y) - 5, anchor="end") for x, y in reversed(corners)
    )
    places = (each for each in (line, *moved) if not any(each.room.meets(box) for box in taken))
    return next(places, line)


def _line(speed: float, scale: Scale, *, claimed: bool = False) -> Line | None:
    """The part of a speed's curve inside the plot; ``None`` where too little of it shows."""
    least, most = 10**scale.low, 10**scale.high
    at_one_cm = float(rcf_g(speed, 1.0))
    start, end = least / at_one_cm, min(most / at_one_cm, scale.radius_cm)
    if start >= end or (not claimed and scale.x(end) - scale.x(start) < LABEL):
        return None
    radii = np.geomspace(start, end, STEPS)
    points = " ".join(
        f"{scale.x(radius):.1f},{scale.y(at_one_cm * radius):.1f}" for radius in radii.tolist()
    )
    label = figures(speed)
    if end < scale.radius_cm:
        # It leaves through the top: its name stands beside it there.
        return Line(f"M{points}", label, scale.x(end) + 5, TOP + LABEL, "start", claimed)
    height = scale.y(at_one_cm * end)
    return Line(f"M{points}", label, RIGHT - 4, max(TOP + LABEL, height - 5), "end", claimed)


def _bars(bands: Sequence[Band], scale: Scale) -> tuple[Bar, ...]:
    """Each band in the first lane where it touches no other, with room for its letter above."""
    ends: list[float] = []
    bars = []
    for band in sorted(bands, key=lambda band: (band.low_g or 0, band.high_g or inf)):
        low, high = scale.y(band.low_g or 10**scale.low), scale.y(band.high_g or 10**scale.high)
        lane = next((at for at, end in enumerate(ends) if low <= end), len(ends))
        if lane == len(ends):
            ends.append(inf)
        ends[lane] = high - LABEL
        bars.append(Bar(band, RIGHT + 10 + LANE * lane, high, max(2.0, low - high)))
    return tuple(bars)
