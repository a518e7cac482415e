"""A dense simplex method, for guesses only: whoever uses what it returns proves it anew."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ZERO = 1e-9


def maximise(values: Floats, usage: Floats, limits: Floats) -> tuple[Floats, Floats]:
    """Amounts ``x`` >= 0 and prices for: ``values @ x`` largest, ``usage @ x <= limits``.

    ``usage`` is rows × columns; ``limits`` are not negative, so that nothing is a start, and
    must bound every column of some value. Dantzig 1947; after as many steps as the table is
    wide the rule of Bland 1977, which cannot go round in circles. Stops unfinished after
    ten times as many.
    """
    rows, columns = usage.shape
    table = np.zeros((rows + 1, columns + rows + 1))
    table[:rows] = np.hstack([usage, np.eye(rows), limits[:, None]])
    table[-1, :columns] = -values
    basis = np.arange(columns, columns + rows)
    width = columns + rows
    for step in range(10 * width):
        improving = np.flatnonzero(table[-1, :-1] < -_ZERO)
        if not len(improving):
            break
        careful = step > width
        column = improving[0] if careful else improving[table[-1, improving].argmin()]
        candidates = np.flatnonzero(table[:-1, column] > _ZERO)
        if not len(candidates):
            break
        ratios = table[candidates, -1] / table[candidates, column]
        tied = candidates[ratios <= ratios.min() + _ZERO]
        row = tied[basis[tied].argmin()]
        _pivot(table, row, column)
        basis[row] = column
    amounts = np.zeros(width)
    amounts[basis] = table[:-1, -1]
    return amounts[:columns].clip(min=0), table[-1, columns:-1].clip(min=0)


def _pivot(table: Floats, row: int, column: int) -> None:
    table[row] /= table[row, column]
    others = np.flatnonzero(table[:, column])
    others = others[others != row]
    table[others] -= np.outer(table[others, column], table[row])
