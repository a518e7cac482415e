"""The two scales of a drawing of force over radius: force by powers of ten, radius even."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from apps.web.figures import figures
from apps.web.spin_marks import BOTTOM, LEFT, RIGHT, TOP, Band, Spot, Tick

RADII_CM = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
LEAST_G, MOST_G = 100.0, 30_000.0


@dataclass(frozen=True)
class Scale:
    """From centimetres and g to the drawing."""

    radius_cm: float
    low: float
    high: float

    def x(self, radius_cm: float) -> float:
        return LEFT + (RIGHT - LEFT) * radius_cm / self.radius_cm

    def y(self, force_g: float) -> float:
        share = (log10(force_g) - self.low) / (self.high - self.low)
        return BOTTOM - (BOTTOM - TOP) * share

    def holds(self, force_g: float) -> bool:
        return self.low <= log10(force_g) <= self.high


def fitting(bands: Sequence[Band], spots: Sequence[Spot], force: float | None) -> Scale:
    """Scales that hold every band and the claim."""
    forces = [
        LEAST_G, MOST_G,
        *(spot.rcf_g for spot in spots),
        *(limit for band in bands for limit in (band.low_g, band.high_g) if limit),
        *([force] if force is not None else []),
    ]  # fmt: skip
    reach = max((spot.radius_cm for spot in spots), default=20.0)
    wide = next((radius for radius in RADII_CM if radius >= 1.15 * reach), 1.15 * reach)
    if spots and reach > 2:
        wide = max(wide, 20.0)
    return Scale(wide, log10(min(forces) / 1.25), log10(max(forces) * 1.25))


def force_ticks(scale: Scale) -> Iterable[Tick]:
    """Marks of the force, by ones, twos and fives where there is room."""
    for power in range(floor(scale.low), ceil(scale.high) + 1):
        for digit in (1, 2, 5) if scale.high - scale.low < 4 else (1,):
            force = digit * 10.0**power
            if scale.holds(force):
                yield Tick(scale.y(force), figures(force, max(0, -power)))


def radius_ticks(scale: Scale) -> Iterable[Tick]:
    """Marks of the radius, in centimetres."""
    for fifth in range(6):
        radius = scale.radius_cm * fifth / 5
        yield Tick(scale.x(radius), f"{radius:.3g}")
