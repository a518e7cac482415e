"""From readings as people write them to figures, a judgement, and what it says of the device."""

from apps.inventory.adapters.computing import Computed, compute
from apps.inventory.adapters.limits import LimitSet, limit_sets, sets_for
from apps.inventory.adapters.readings import COLUMNS, Readings, ReadingsError, parse_readings

__all__ = [
    "COLUMNS",
    "Computed",
    "LimitSet",
    "Readings",
    "ReadingsError",
    "compute",
    "limit_sets",
    "parse_readings",
    "sets_for",
]
