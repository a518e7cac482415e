"""What a microscope must show: sizes of parasites, eggs, cells and bacteria, with sources.

The width is what must be resolved to tell a thing from others like it; the length is what
makes it be noticed.
"""

import math
from dataclasses import dataclass
from typing import Literal

from planner.engine.physics.optics import LENGTH_UM

Sight = Literal["resolved", "noticed", "not_resolved", "unknown"]

_BOOK = "textbook, from memory"
_TABLES = "public-health tables of comparative morphology"


@dataclass(frozen=True)
class Feature:
    """A thing to be seen, its width and length in µm (least, greatest), and where they are from."""

    code: str
    name: str
    width_um: tuple[float, float]
    length_um: tuple[float, float]
    source: str


FEATURES = {
    feature.code: feature
    for feature in (
        Feature("malaria-ring", "Malaria parasite, ring stage", (1, 2), (1, 2), _BOOK),
        Feature("red-cell", "Red blood cell", (6.2, 8.2), (6.2, 8.2), _BOOK),
        Feature("acid-fast-bacillus", "Acid-fast bacillus", (0.2, 0.5), (1, 10), _BOOK),
        Feature("gram-coccus", "Gram-positive coccus", (0.5, 1.5), (0.5, 1.5), _BOOK),
        Feature("trypanosome", "Trypanosoma brucei in blood", (1.5, 3.5), (14, 33), _BOOK),
        Feature("microfilaria", "Wuchereria bancrofti microfilaria", (7.5, 10), (244, 296), _BOOK),
        Feature("giardia-cyst", "Giardia cyst", (7, 10), (8, 19), f"{_TABLES}, from memory"),
        Feature("ascaris-egg", "Ascaris fertile egg", (35, 45), (45, 70), f"{_TABLES}, seen"),
        Feature("trichuris-egg", "Trichuris egg", (20, 29), (49, 65), f"{_TABLES}, seen"),
        Feature("hookworm-egg", "Hookworm egg", (35, 47), (57, 76), f"{_TABLES}, seen"),
        Feature("pinworm-egg", "Enterobius egg", (20, 32), (50, 60), f"{_TABLES}, seen"),
        Feature("mansoni-egg", "Schistosoma mansoni egg", (45, 70), (114, 180), f"{_TABLES}, seen"),
        Feature("haematobium-egg", "Schistosoma haematobium egg", (40, 70), (110, 170), _BOOK),
    )
}


def sight(feature: Feature, resolved_um: float) -> Sight:
    """What a microscope that resolves ``resolved_um`` makes of the smallest of its kind.

    ``resolved``: its width is at least the resolution. ``noticed``: only its length is; with a
    strong stain it shows as a line. To be resolved is needed for telling a thing from others,
    and is not enough: contrast, stain and reader decide too. NaN gives ``unknown``.
    """
    resolved = float(LENGTH_UM.values(resolved_um))
    if math.isnan(resolved):
        return "unknown"
    if feature.width_um[0] >= resolved:
        return "resolved"
    return "noticed" if feature.length_um[0] >= resolved else "not_resolved"
