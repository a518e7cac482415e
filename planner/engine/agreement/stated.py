"""What a device says of itself against what an instrument finds; and itself against itself."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.engine.agreement.readings import Place, paired_values, row
from planner.engine.errors import InputError


@dataclass(frozen=True)
class Deviation:
    """Found − stated: the mean, and the least and the greatest of ``n`` readings.

    In the unit measured, and in per cent of what was stated; ``None`` where that was 0.
    """

    n: int
    mean: float
    least: float
    greatest: float
    mean_pct: float | None
    least_pct: float | None
    greatest_pct: float | None


def deviations(
    stated: Sequence[float],
    found: Sequence[float],
    *,
    below_zero: bool = False,
    place: Place = row,
) -> Deviation:
    """How far settings or displays are off: speeds, times, temperatures, volumes, wavelengths.

    Raises ``InputError`` as ``paired_values`` does; ``below_zero`` is for temperatures.
    """
    said, true = paired_values(stated, found, place=place, below_zero=below_zero, fewest=1)
    errors = true - said
    percent = None if (said == 0).any() else 100 * errors / np.abs(said)
    return Deviation(
        n=errors.size,
        mean=float(errors.mean()),
        least=float(errors.min()),
        greatest=float(errors.max()),
        mean_pct=None if percent is None else float(percent.mean()),
        least_pct=None if percent is None else float(percent.min()),
        greatest_pct=None if percent is None else float(percent.max()),
    )


@dataclass(frozen=True)
class Repeatability:
    """Duplicates of ``n`` specimens: the greatest difference, the SD within, and the CV in %."""

    n: int
    greatest_difference: float
    sd: float
    cv_pct: float


def repeatability(
    first: Sequence[float], second: Sequence[float], *, place: Place = row
) -> Repeatability:
    """Spread of a device's own duplicates: SD = √(Σ d² / 2n) (Dahlberg 1940).

    Raises ``InputError`` as ``paired_values`` does, and where every reading is 0.
    """
    one, other = paired_values(first, second, place=place)
    mean = float((one + other).mean() / 2)
    if mean == 0:
        raise InputError("list of duplicates", ["readings: expected one above 0, found none"])
    sd = float(np.sqrt(((one - other) ** 2).sum() / (2 * one.size)))
    return Repeatability(one.size, float(np.abs(one - other).max()), sd, 100 * sd / mean)
