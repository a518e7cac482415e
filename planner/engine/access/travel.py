"""How long the way takes: estimated from the distance, or as somebody measured it."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.access.distance import Bools
from planner.engine.errors import EngineError
from planner.engine.physics.quantities import Quantity, Values

Mode: TypeAlias = Literal["walk", "unpaved", "paved"]
Season: TypeAlias = Literal["dry", "wet"]

DETOUR_INDEX = 1.4
"""Road over straight line, a planning default: 1.417 over 66 000 origins in the USA (Boscoe,
Henry and Zdeb 2012, from memory); 1.2-1.3 where roads are dense, 1.5-2 in mountains."""

SPEED_KM_PER_H: dict[str, float] = {"walk": 5.0, "unpaved": 30.0, "paved": 60.0}
"""Planning defaults: 3-4 on foot in hills, 20-40 on unpaved, 50-80 on paved roads."""

WET_MULTIPLIER: dict[str, float] = {"walk": 1.3, "unpaved": 1.5, "paved": 1.0}
"""How much longer a way takes in the rains, planning defaults out of 1.3-3."""

HOURS = Quantity("travel time", "h", 0, 1000, "is this in minutes? Divide by 60", False)
DISTANCE_KM = Quantity("distance", "km", 0, 21_000, "is this in metres? Divide by 1000", False)
DETOUR = Quantity("detour index", "", 1, 10, "a road is no shorter than the straight line", False)


@dataclass(frozen=True)
class Pace:
    """How people or specimens go, and by what assumptions an hour is worked out."""

    mode: Mode = "unpaved"
    season: Season = "dry"
    detour_index: float = DETOUR_INDEX

    def __post_init__(self) -> None:
        if self.mode not in SPEED_KM_PER_H or self.season not in ("dry", "wet"):
            raise EngineError(
                f"There is no way {self.mode!r} in a season {self.season!r}.",
                remedy=f"Use one of {', '.join(SPEED_KM_PER_H)} in the dry or the wet season.",
            )
        DETOUR.values(self.detour_index)

    @property
    def hours_per_km(self) -> float:
        """Hours for one kilometre of straight line."""
        slower = WET_MULTIPLIER[self.mode] if self.season == "wet" else 1.0
        return self.detour_index * slower / SPEED_KM_PER_H[self.mode]


@dataclass(frozen=True)
class Travel:
    """Hours on the way, and whether somebody measured them; NaN is not known."""

    hours: Values
    is_measured: Bools


def estimated_hours(straight_km: ArrayLike, pace: Pace) -> Values:
    """Straight line × detour index ÷ speed, × the multiplier of the rains."""
    return DISTANCE_KM.values(straight_km) * pace.hours_per_km


def travel(straight_km: ArrayLike, pace: Pace, measured_hours: ArrayLike = np.nan) -> Travel:
    """Hours as measured where they are, else as estimated; a measured time takes precedence."""
    measured = HOURS.values(measured_hours)
    estimated, measured = np.broadcast_arrays(estimated_hours(straight_km, pace), measured)
    is_measured = ~np.isnan(measured)
    return Travel(np.where(is_measured, measured, estimated), is_measured)
