"""The kinds of arrays that the allocation works with, and how codes become positions."""

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]


def positions(values: Iterable[str], codes: Iterable[str]) -> Ints:
    """The position of each of ``values`` among ``codes``."""
    position = {code: index for index, code in enumerate(codes)}
    return np.array([position[value] for value in values], dtype=np.int64)


def membership(rows: Iterable[Iterable[str]], codes: Iterable[str]) -> Bools:
    """Rows × codes: whether the row has the code."""
    columns = tuple(codes)
    members = [set(row) for row in rows]
    return np.array([[code in row for code in columns] for row in members], dtype=bool).reshape(
        len(members), len(columns)
    )


def table(
    entries: Iterable[tuple[str, str, float]], rows: tuple[str, ...], columns: tuple[str, ...]
) -> Floats:
    """Rows × columns with the amount of each (row, column, amount), 0 elsewhere."""
    row_of = {code: index for index, code in enumerate(rows)}
    column_of = {code: index for index, code in enumerate(columns)}
    amounts = np.zeros((len(rows), len(columns)))
    for row, column, amount in entries:
        amounts[row_of[row], column_of[column]] = amount
    return amounts
