"""A share with its interval: sensitivity, specificity, prevalence."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.engine.errors import InputError
from planner.engine.intervals import wilson
from planner.engine.physics.quantities import Quantity, Values

Bools: TypeAlias = NDArray[np.bool_]

SENSITIVITY = Quantity("sensitivity", "", 0, 1, "is this in per cent? Divide by 100", False)
SPECIFICITY = Quantity("specificity", "", 0, 1, "is this in per cent? Divide by 100", False)
PREVALENCE = Quantity("prevalence", "", 0, 1, "is this in per cent? Divide by 100", False)
_SHARE = Quantity("share", "", 0, 1, "is this in per cent? Divide by 100", False)


@dataclass(frozen=True)
class Estimate:
    """A share of 0 to 1 and the ends of its 95 % interval, arrays of one shape.

    NaN is "not known", of the share or of an end alone.
    """

    value: Values
    low: Values
    high: Values


Share: TypeAlias = Estimate | ArrayLike
"""An ``Estimate``, or plain numbers, whose interval is then not known."""


def estimate(value: ArrayLike, low: ArrayLike = np.nan, high: ArrayLike = np.nan) -> Estimate:
    """A share with the ends of its 95 % interval; ends that are left out are not known.

    Raises ``InputError`` for a share outside 0 to 1, or outside its own interval.
    """
    shares = np.broadcast_arrays(*(_SHARE.values(given) for given in (value, low, high)))
    found = Estimate(*shares)
    if ((found.low > found.value) | (found.high < found.value)).any():
        raise InputError("estimate", ["interval: expected ends with the share between them"])
    return found


def from_counts(successes: ArrayLike, trials: ArrayLike) -> Estimate:
    """The share that a study found, with its Wilson 95 % interval; no trials are not known."""
    low, high = wilson(successes, trials)
    tried = np.asarray(trials, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.asarray(successes, dtype=float) / np.where(tried == 0, np.nan, tried)
    return estimate(share, low, high)


def taken(share: Share, quantity: Quantity) -> Estimate:
    """``share`` with its ends, each checked as a ``quantity``, which names the mistake."""
    given = share if isinstance(share, Estimate) else Estimate(*_without_interval(share))
    ends = (quantity.values(end) for end in (given.value, given.low, given.high))
    return Estimate(*ends)


def _without_interval(share: ArrayLike) -> tuple[Values, Values, Values]:
    values = np.asarray(share, dtype=float)
    return values, np.full_like(values, np.nan), np.full_like(values, np.nan)
