"""The truth of a condition on a specification, one at a time or over many."""

from collections.abc import Iterable
from enum import IntEnum
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.engine.conditions import Condition, Scalar, SpecValue

Bools: TypeAlias = NDArray[np.bool_]
Codes: TypeAlias = NDArray[np.int8]


class Verdict(IntEnum):
    """In order, so that all of several conditions is ``min`` and the best of several ``max``."""

    NOT_MET = 0
    UNKNOWN = 1
    MET = 2


_KINDS = {bool: "yes or no", str: "text"}


def kind(value: Scalar) -> str:
    """What sort of value it is, in words."""
    return _KINDS.get(type(value), "a number")


def typed(value: Scalar) -> tuple[str, Scalar]:
    """``value`` with its kind, since Python holds ``True`` and ``1`` to be equal."""
    return kind(value), value


def condition_key(condition: Condition) -> Any:
    """Equal for conditions that ask the same, so that each is compared only once."""
    value = condition.value
    if not isinstance(value, tuple):
        return condition.comparator, typed(value)
    items = [typed(item) for item in value]
    # The order of a list of things to have means nothing; that of a range does.
    return condition.comparator, frozenset(items) if condition.comparator == "has" else tuple(items)


class Specs:
    """The specifications of one attribute over several roles; ``None`` where not stated."""

    def __init__(self, values: Iterable[SpecValue | None]) -> None:
        self.values = tuple(values)

    @cached_property
    def numbers(self) -> NDArray[np.float64]:
        """The specifications that are numbers; not-a-number elsewhere."""
        return np.array([_number(value) for value in self.values])

    @cached_property
    def ranges(self) -> NDArray[np.float64]:
        """Two rows, low and high, of those that are ranges; not-a-number elsewhere."""
        return np.array([_range(value) for value in self.values]).reshape(-1, 2).T

    def judged_by(self, condition: Condition) -> Codes:
        """One code of ``Verdict`` for each specification."""
        wanted: Any = condition.value
        match condition.comparator:
            case "min":
                return _coded(self.numbers >= wanted, self.numbers)
            case "max":
                return _coded(self.numbers <= wanted, self.numbers)
            case "between":
                inside = (self.numbers >= wanted[0]) & (self.numbers <= wanted[1])
                return _coded(inside, self.numbers)
            case "covers":
                low, high = self.ranges
                return _coded((low <= wanted[0]) & (high >= wanted[1]), low)
            case "is":
                return np.array([_is(wanted, value) for value in self.values], dtype=np.int8)
            case "has":
                return np.array([_has(wanted, value) for value in self.values], dtype=np.int8)


def _number(value: SpecValue | None) -> float:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if is_number else np.nan  # type: ignore[arg-type]


def _range(value: SpecValue | None) -> tuple[float, float]:
    if isinstance(value, tuple) and len(value) == 2:
        low, high = _number(value[0]), _number(value[1])
        if low <= high:
            return low, high
    return np.nan, np.nan


def _coded(met: Bools, figures: NDArray[np.float64]) -> Codes:
    verdicts = np.where(met, Verdict.MET, Verdict.NOT_MET)
    return np.where(np.isnan(figures), Verdict.UNKNOWN, verdicts).astype(np.int8)


def _is(wanted: Scalar, value: SpecValue | None) -> Verdict:
    if value is None or isinstance(value, tuple) or kind(value) != kind(wanted):
        return Verdict.UNKNOWN
    return Verdict.MET if value == wanted else Verdict.NOT_MET


def _has(wanted: tuple[Scalar, ...], value: SpecValue | None) -> Verdict:
    if value is None:
        return Verdict.UNKNOWN
    held = {typed(item) for item in (value if isinstance(value, tuple) else (value,))}
    lacking = [kind(item) for item in wanted if typed(item) not in held]
    if not lacking:
        return Verdict.MET
    # Colours cannot tell whether a wavelength in nanometres is there; an empty list can.
    comparable = {kind for kind, _ in held} or set(lacking)
    return Verdict.NOT_MET if comparable.intersection(lacking) else Verdict.UNKNOWN
