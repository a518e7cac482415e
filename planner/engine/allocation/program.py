"""A mixed-integer program as arrays, and what can be said of it without solving it."""

from dataclasses import dataclass, replace

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints


@dataclass(frozen=True)
class Program:
    """Maximise ``unit`` · ``gain`` · x; ``least`` ≤ x ≤ ``most``, some x whole; rows in bounds.

    Rows are stored one after the other: row r has the entries ``start[r]:start[r + 1]`` of
    ``column`` and ``factor``, and lies within ``lower[r]`` and ``upper[r]``. Gains and rows
    are scaled so that the largest factor of each is 1; every column is bounded.
    """

    unit: float
    gain: Floats
    least: Floats
    most: Floats
    whole: Bools
    lower: Floats
    upper: Floats
    start: Ints
    column: Ints
    factor: Floats

    @property
    def size(self) -> tuple[int, int, int]:
        """Rows, columns, entries."""
        return len(self.upper), len(self.gain), len(self.factor)

    @property
    def row(self) -> Ints:
        """The row of each entry."""
        return np.repeat(np.arange(len(self.upper)), np.diff(self.start))

    def value(self, x: Floats) -> float:
        """The objective at ``x``."""
        return self.unit * float(self.gain @ x)

    def violation(self, x: Floats) -> float:
        """By how much ``x`` breaks a row, a bound or a whole number, at worst."""
        activity = np.zeros(len(self.upper))
        np.add.at(activity, self.row, self.factor * x[self.column])
        broken = (
            activity - self.upper,
            self.lower - activity,
            x - self.most,
            self.least - x,
            np.abs(x - np.rint(x))[self.whole],
        )
        return max(float(part.max(initial=0.0)) for part in broken)

    def within(self, *, least: Floats | None = None, most: Floats | None = None) -> "Program":
        """The same with other bounds on the columns."""
        return replace(
            self,
            least=self.least if least is None else least,
            most=self.most if most is None else most,
        )

    def loosened(self, slack: float) -> "Program":
        """The same with rows that forgive ``slack``, where the largest factor is 1."""
        return replace(self, lower=self.lower - slack, upper=self.upper + slack)

    def aiming_at(self, gain: Floats) -> "Program":
        """The same with another objective, given in its own units."""
        unit = largest(gain)
        return replace(self, unit=unit, gain=gain / unit)

    def requiring(self, factors: Floats, *, lower: float) -> "Program":
        """The same with one more row: the sum of columns by ``factors`` is at least ``lower``."""
        unit = largest(factors)
        column = np.flatnonzero(factors)
        return replace(
            self,
            lower=np.append(self.lower, lower / unit),
            upper=np.append(self.upper, np.inf),
            start=np.append(self.start, len(self.column) + len(column)),
            column=np.append(self.column, column),
            factor=np.append(self.factor, factors[column] / unit),
        )

    def gaining_at_least(self, value: float) -> "Program":
        """The same with one more row: the objective is at least ``value``."""
        return self.requiring(self.gain, lower=value / self.unit)


def proven_bound(program: Program, prices: Floats) -> float:
    """An upper bound on the objective, whole or not, from any ``prices`` of the rows.

    Weak duality: each row is charged at its price, and each column takes whichever of its
    bounds pays. Prices of the wrong sign count as 0, so rounding can weaken the bound but
    never make it false.
    """
    upper_prices = np.where(np.isfinite(program.upper), np.maximum(prices, 0), 0)
    lower_prices = np.where(np.isfinite(program.lower), np.minimum(prices, 0), 0)
    charged = upper_prices + lower_prices
    limits = np.where(charged > 0, program.upper, program.lower)
    income = float(charged[charged != 0] @ limits[charged != 0])
    profit = program.gain.copy()
    np.subtract.at(profit, program.column, program.factor * charged[program.row])
    best = np.where(profit > 0, program.most, program.least)
    return program.unit * (income + float(profit @ best))


def largest(gain: Floats) -> float:
    """The largest gain, whatever its sign; 1 if there is none."""
    return float(np.abs(gain).max(initial=0.0)) or 1.0
