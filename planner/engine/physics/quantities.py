"""Which values can exist: one place for the limits, so that none is computed from silently."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.engine.errors import InputError

Values = NDArray[np.float64]

THIN = "\N{NARROW NO-BREAK SPACE}"


def rounded_in_words(value: float, digits: int = 4) -> str:
    """``125 000`` or ``0.1717``: rounded to so many digits, digits in threes."""
    return f"{float(f'{value:.{digits}g}'):,.15g}".replace(",", THIN)


def judged(fails: ArrayLike, unknown: ArrayLike) -> Values:
    """0 where something known decides against, else NaN where something is unknown, else 1."""
    return np.where(fails, 0.0, np.where(unknown, np.nan, 1.0))


@dataclass(frozen=True)
class Quantity:
    """A quantity with its unit, the values it can have, and the slip that oversteps them."""

    name: str
    unit: str
    lowest: float
    highest: float
    slip: str = ""
    above_zero: bool = True

    def values(self, given: ArrayLike) -> Values:
        """``given`` as floats; NaN (not known) passes.

        Raises ``InputError`` for a value outside the possible range, naming the value, the
        range and the usual slip.
        """
        values = np.asarray(given, dtype=float)
        wrong = ~(self._can_be(values) | np.isnan(values))
        if wrong.any():
            first = float(np.atleast_1d(values)[np.atleast_1d(wrong)][0])
            sign = "above" if self.above_zero else "of at least"
            hint = f" ({self.slip})" if self.slip else ""
            unit = f" {self.unit}" if self.unit else ""
            raise InputError(
                "measurement",
                [
                    f"{self.name}: expected a number {sign} {self.lowest:g} and at most "
                    f"{self.highest:g}{unit}, found {first:g}{hint}"
                ],
            )
        return values

    def interval(self, low: ArrayLike, high: ArrayLike) -> tuple[Values, Values]:
        """The lowest and highest of something, neither impossible nor exchanged.

        Raises ``InputError`` where the lowest lies above the highest.
        """
        lowest, highest = np.broadcast_arrays(self.values(low), self.values(high))
        exchanged = np.atleast_1d(lowest > highest)
        if exchanged.any():
            first, second = (
                np.atleast_1d(lowest)[exchanged][0],
                np.atleast_1d(highest)[exchanged][0],
            )
            raise InputError(
                "measurement",
                [
                    f"{self.name}: expected the lowest before the highest, found "
                    f"{first:g} and {second:g} {self.unit}"
                ],
            )
        return lowest, highest

    def possible(self, computed: ArrayLike) -> Values:
        """``computed`` with NaN in place of what cannot exist: for what a claim implies."""
        values = np.asarray(computed, dtype=float)
        return np.where(self._can_be(values), values, np.nan)

    def in_words(self, value: float, digits: int = 4) -> str:
        """``125 000 rpm``: so many digits and the unit."""
        words = rounded_in_words(value, digits)
        return f"{words}{THIN}{self.unit}" if self.unit else words

    def _can_be(self, values: Values) -> NDArray[np.bool_]:
        above = values > self.lowest if self.above_zero else values >= self.lowest
        return above & (values <= self.highest) & ~np.isinf(values)


SPEED_RPM = Quantity("speed", "rpm", 0, 1_000_000, "is this the RCF, or turns per second?")
RADIUS_CM = Quantity("radius", "cm", 0, 50, "is this in mm? Divide by 10")
RCF_G = Quantity("relative centrifugal force", "g", 0, 1_000_000, "is this the speed in rpm?")
MINUTES = Quantity("time", "min", 0, 100_000, above_zero=False)
SECONDS = Quantity("time", "s", 0, 10_000_000, above_zero=False)
POWER_W = Quantity("power", "W", 0, 100_000, above_zero=False)
SHARE = Quantity("share", "", 0, 1, "is this in per cent? Divide by 100", above_zero=False)
WAVELENGTH_NM = Quantity("wavelength", "nm", 150, 2000, "is this in µm? Multiply by 1000")
HOURS = Quantity("time", "h", 0, 1_000_000, above_zero=False)
TEMPERATURE_C = Quantity(
    "temperature", "°C", -100, 250, "is this in kelvin? Subtract 273.15", above_zero=False
)
"""Sterilising ovens reach 200 °C; rooms in kelvin lie above 250."""
