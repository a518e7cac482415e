"""A mixed-integer program as arrays, built in blocks of columns and rows."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.allocation.arrays import Bools, Floats, Ints

_SLACK = 1e-9


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
        unit = _largest(gain)
        return replace(self, unit=unit, gain=gain / unit)

    def gaining_at_least(self, value: float) -> "Program":
        """The same with one more row: the objective is at least ``value``."""
        column = np.flatnonzero(self.gain)
        return replace(
            self,
            lower=np.append(self.lower, value / self.unit),
            upper=np.append(self.upper, np.inf),
            start=np.append(self.start, len(self.column) + len(column)),
            column=np.append(self.column, column),
            factor=np.append(self.factor, self.gain[column]),
        )


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


@dataclass
class Builder:
    """Collects blocks of columns and rows; ``program`` puts them together."""

    columns: int = 0
    rows: int = 0
    _columns: list[tuple[Floats, Floats, Bools]] = field(default_factory=list)
    _bounds: list[tuple[Floats, Floats]] = field(default_factory=list)
    _entries: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)

    def add_columns(self, *, gain: ArrayLike, most: ArrayLike, whole: bool = False) -> Ints:
        """New columns from 0 to ``most``, as many as it or ``gain`` has; returns their numbers."""
        gains, mosts = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(part, dtype=float)) for part in (gain, most))
        )
        self._columns.append((gains, mosts, np.full(len(gains), whole)))
        self.columns += len(gains)
        return np.arange(self.columns - len(gains), self.columns)

    def add_rows(self, rows: Ints, columns: Ints, factors: ArrayLike, *, upper: Floats) -> None:
        """As many rows as ``upper`` has, from entries; ``rows`` counts from 0 in the block."""
        values = np.broadcast_to(np.asarray(factors, dtype=float), columns.shape)
        self._bounds.append((np.full(len(upper), -np.inf), upper))
        self._entries.append((rows + self.rows, columns, values))
        self.rows += len(upper)

    def add_row(
        self, columns: Ints, factors: ArrayLike, *, upper: float = np.inf, lower: float = -np.inf
    ) -> None:
        """One row."""
        values = np.broadcast_to(np.asarray(factors, dtype=float), columns.shape)
        self._bounds.append((np.array([lower]), np.array([upper])))
        self._entries.append((np.full(len(columns), self.rows), columns, values))
        self.rows += 1

    def program(self) -> Program:
        """Everything collected, scaled, without the rows that no values of x could break."""
        gain, most, whole = _joined(self._columns, (float, float, bool))
        lower, upper = _joined(self._bounds, (float, float))
        row, column, factor = _joined(self._entries, (np.int64, np.int64, float))
        order = np.lexsort((column, row))[factor[np.lexsort((column, row))] != 0]
        row, column, factor = row[order], column[order], factor[order]
        largest = np.zeros(self.rows)
        np.maximum.at(largest, row, np.abs(factor))
        largest[largest == 0] = 1.0
        lower, upper, factor = lower / largest, upper / largest, factor / largest[row]
        kept = _can_be_broken(row, factor * most[column], lower, upper)
        renumbered = np.cumsum(kept) - 1
        inside = kept[row]
        row, column, factor = renumbered[row[inside]], column[inside], factor[inside]
        unit = _largest(gain)
        return Program(
            unit=unit,
            gain=gain / unit,
            least=np.zeros(self.columns),
            most=most,
            whole=whole,
            lower=lower[kept],
            upper=upper[kept],
            start=np.searchsorted(row, np.arange(int(kept.sum()) + 1)),
            column=column,
            factor=factor,
        )


def _largest(gain: Floats) -> float:
    return float(np.abs(gain).max(initial=0.0)) or 1.0


def _joined(blocks: list, types: tuple[type, ...]) -> list:  # type: ignore[type-arg]
    parts = zip(*blocks, strict=True) if blocks else ((),) * len(types)
    return [
        np.concatenate([np.empty(0, dtype=kind), *part])
        for kind, part in zip(types, parts, strict=True)
    ]


def _can_be_broken(row: Ints, furthest: Floats, lower: Floats, upper: Floats) -> Bools:
    """Rows that some x breaks; ``furthest`` is each entry's activity at its column's most."""
    highest, lowest = np.zeros(len(upper)), np.zeros(len(upper))
    np.add.at(highest, row, np.maximum(furthest, 0))
    np.add.at(lowest, row, np.minimum(furthest, 0))
    slack = _SLACK * np.maximum(highest, -lowest)
    broken: Bools = (highest > upper + slack) | (lowest < lower - slack)
    return broken
