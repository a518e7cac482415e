"""Readings as people write them down, checked before anything is computed from them."""

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from planner.engine.errors import InputError

Values = NDArray[np.float64]
Place = Callable[[int], str]

FEWEST = 2
MOST = 5000
"""More readings than anybody takes of one device; a longer list is the wrong file."""

APART = 5.0
"""Two instruments whose readings differ this many times over do not share a unit.

Glucose in mg/dL and mmol/L are 18 times apart, creatinine in µmol/L and mg/dL 88, haemoglobin
in g/L and g/dL 10; a device that is really five times off needs no statistics.
"""


def row(at: int) -> str:
    """How a reading is called where the caller has no better name for it: ``row 4``."""
    return f"row {at + 1}"


def paired_values(
    device: Sequence[float],
    reference: Sequence[float],
    *,
    place: Place = row,
    below_zero: bool = False,
    fewest: int = FEWEST,
) -> tuple[Values, Values]:
    """Both lists as floats: equally long, ``fewest`` pairs or more, finite, not negative, one unit.

    ``below_zero``: amounts may be negative, as temperatures in °C are; then units that have
    been mixed up cannot be told from the readings.

    Raises ``InputError`` with one line for each mistake, the place first.
    """
    problems = list(_lengths(device, reference, fewest))
    if problems:
        raise InputError("list of paired readings", problems)
    problems += _values(device, "device", place, below_zero)
    problems += _values(reference, "reference", place, below_zero)
    if not problems and not below_zero:
        problems += _units(np.asarray(device, float), np.asarray(reference, float))
    if problems:
        raise InputError("list of paired readings", problems)
    return np.asarray(device, dtype=float), np.asarray(reference, dtype=float)


def _lengths(device: Sequence[float], reference: Sequence[float], fewest: int) -> Iterator[str]:
    if len(device) != len(reference):
        yield (
            f"readings: expected as many of the device as of the reference, found {len(device)} "
            f"and {len(reference)}. Leave out a specimen that only one of them measured"
        )
    elif len(device) < fewest:
        pairs = "1 pair" if fewest == 1 else f"{fewest} pairs"
        yield f"readings: expected at least {pairs}, found {len(device)}"
    elif len(device) > MOST:
        yield f"readings: expected at most {MOST} pairs, found {len(device)}"


def _values(given: Sequence[float], column: str, place: Place, below_zero: bool) -> Iterator[str]:
    for at, value in enumerate(given):
        if not np.isfinite(value):
            yield f"{place(at)}, {column}: expected a finite number, found {value}"
        elif value < 0 and not below_zero:
            yield (
                f"{place(at)}, {column}: expected a measured amount of 0 or more, "
                f"found {value:g}. Enter readings, not differences"
            )


def _units(device: Values, reference: Values) -> Iterator[str]:
    """The usual slip of two units, told from the ratio of the medians."""
    of_device, of_reference = float(np.median(device)), float(np.median(reference))
    low, high = sorted((of_device, of_reference))
    if high > 0 and high >= APART * low:
        ratio = f"{high / low:.3g} times" if low > 0 else "far"
        larger = "device" if of_device > of_reference else "reference"
        yield (
            f"readings: those of the {larger} are {ratio} above the others "
            f"(medians {of_device:g} and {of_reference:g}). Are both in the same unit, and in the "
            "right columns? Convert one of them, for example mmol/L into mg/dL"
        )
