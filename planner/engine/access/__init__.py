"""Ways to a test: distances, travel times, couriers, and the people within reach.

Arrays in, arrays out; degrees on WGS 84, kilometres, hours; NaN is "not known" and stays so.
A value that cannot exist is refused with ``InputError``. A travel time that somebody
measured takes precedence over one worked out from the distance, and it is always said
which of the two was used.
"""

from planner.engine.access.courier import Turnaround, turnaround, worst_case_wait_hours
from planner.engine.access.distance import geodesic_km, haversine_km, looks_swapped
from planner.engine.access.reach import Reach, reach
from planner.engine.access.shares import WeightedShare, weighted_coverage
from planner.engine.access.table import TravelTable
from planner.engine.access.travel import (
    DETOUR_INDEX,
    SPEED_KM_PER_H,
    WET_MULTIPLIER,
    Mode,
    Pace,
    Season,
    Travel,
    estimated_hours,
    travel,
)

__all__ = [
    "DETOUR_INDEX",
    "SPEED_KM_PER_H",
    "WET_MULTIPLIER",
    "Mode",
    "Pace",
    "Reach",
    "Season",
    "Travel",
    "TravelTable",
    "Turnaround",
    "WeightedShare",
    "estimated_hours",
    "geodesic_km",
    "haversine_km",
    "looks_swapped",
    "reach",
    "travel",
    "turnaround",
    "weighted_coverage",
    "worst_case_wait_hours",
]
