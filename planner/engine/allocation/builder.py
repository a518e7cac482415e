"""Writing a program: blocks of columns and rows are collected, then put together."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.program import Program, largest

_SLACK = 1e-9


@dataclass
class Builder:
    """Collects blocks of columns and rows; ``program`` puts them together."""

    columns: int = 0
    rows: int = 0
    _columns: list[tuple[Floats, Floats, Floats, Bools]] = field(default_factory=list)
    _bounds: list[tuple[Floats, Floats]] = field(default_factory=list)
    _entries: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)

    def add_columns(
        self, *, gain: ArrayLike, most: ArrayLike, least: ArrayLike = 0.0, whole: bool = False
    ) -> Ints:
        """New columns from ``least`` to ``most``, as many as any of them or ``gain`` has;
        returns their numbers."""
        gains, leasts, mosts = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(part, dtype=float)) for part in (gain, least, most))
        )
        self._columns.append((gains, leasts, mosts, np.full(len(gains), whole)))
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
        gain, least, most, whole = _joined(self._columns, (float, float, float, bool))
        lower, upper = _joined(self._bounds, (float, float))
        row, column, factor = _joined(self._entries, (np.int64, np.int64, float))
        order = np.lexsort((column, row))[factor[np.lexsort((column, row))] != 0]
        row, column, factor = row[order], column[order], factor[order]
        scale = np.zeros(self.rows)
        np.maximum.at(scale, row, np.abs(factor))
        scale[scale == 0] = 1.0
        lower, upper, factor = lower / scale, upper / scale, factor / scale[row]
        kept = _can_be_broken(row, factor * most[column], lower, upper)
        renumbered = np.cumsum(kept) - 1
        inside = kept[row]
        row, column, factor = renumbered[row[inside]], column[inside], factor[inside]
        unit = largest(gain)
        return Program(
            unit=unit,
            gain=gain / unit,
            least=least,
            most=most,
            whole=whole,
            lower=lower[kept],
            upper=upper[kept],
            start=np.searchsorted(row, np.arange(int(kept.sum()) + 1)),
            column=column,
            factor=factor,
        )


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
