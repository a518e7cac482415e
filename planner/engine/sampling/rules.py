"""How many items to check and how many failures to allow, from the risks that are taken."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from planner.engine.errors import EngineError, InputError
from planner.engine.physics.quantities import Values
from planner.engine.sampling.risks import acceptance

LARGEST_SAMPLE = 100_000


@dataclass(frozen=True)
class Rule:
    """Check ``sample`` items and accept if at most ``allowed`` fail.

    ``false_alarm``: chance of rejecting a lot that is as good as asked. ``missed``: chance of
    accepting one that is as bad as must not pass. Both at the stated shares.
    """

    sample: int
    allowed: int
    false_alarm: float
    missed: float

    @property
    def passes(self) -> int:
        """Fewest items that must pass."""
        return self.sample - self.allowed


def single_rule(
    *,
    good: float,
    bad: float,
    false_alarm: float = 0.1,
    missed: float = 0.1,
    lot: int | None = None,
    correlation: float = 0.0,
) -> Rule:
    """The smallest sample whose risks are within those stated.

    ``good`` and ``bad`` are shares of failures: a lot at ``good`` is rejected with a chance
    of at most ``false_alarm``, one at ``bad`` accepted with at most ``missed``. ``lot`` and
    ``correlation`` as for ``acceptance``.

    Raises ``InputError`` where good is not below bad, ``EngineError`` where no sample is
    large enough, as happens if items fail together: checking more of them then says no more.
    """
    _in_order(good, bad)
    _risks(false_alarm, missed)
    chance = partial(acceptance, lot=lot, correlation=correlation)
    largest, allowed = lot or LARGEST_SAMPLE, 0
    while True:
        sample = _smallest(chance, allowed, bad, missed, largest)
        if sample is None:
            raise EngineError(
                f"No sample of up to {largest} items keeps both risks.",
                remedy="Allow larger risks, or set the two shares farther apart.",
            )
        rejects = 1 - float(chance(sample, allowed, good))
        if rejects <= false_alarm:
            return Rule(sample, allowed, rejects, float(chance(sample, allowed, bad)))
        allowed += 1


def lowest_passes(sample: int, *, target: float, margin: float = 0.3) -> Rule:
    """For a fixed sample, the rule whose two risks add up to least.

    A lot in which ``target`` of the items pass should be accepted, one ``margin`` below
    should not. Of equal sums the stricter rule is taken. With 19 items, a target of 80 % and
    a margin of 30 points, 13 must pass: the table of lot quality assurance sampling.

    Raises ``InputError`` where the lower share would not be above 0.
    """
    lower = target - margin
    if not 0 < lower < target <= 1 or sample < 1:
        raise InputError(
            "sampling plan",
            [
                "target: expected a share up to 1 and more than the margin above 0, "
                f"found {target:g} with a margin of {margin:g}"
            ],
        )
    allowed = np.arange(sample)
    rejects = 1 - acceptance(sample, allowed, 1 - target)
    accepts = acceptance(sample, allowed, 1 - lower)
    # Rounded, so that equal sums are equal however they were added up.
    best = int(np.argmin(np.round(rejects + accepts, 12)))
    return Rule(sample, best, float(rejects[best]), float(accepts[best]))


def zero_failure_size(
    *, good_share: float, confidence: float = 0.95, lot: int | None = None
) -> int:
    """Fewest items that, none failing, show with ``confidence`` that ``good_share`` are good.

    Without ``lot`` ln(1 − confidence)/ln(good_share), rounded up; with ``lot`` by drawing
    without putting back from a lot with one failure too many.
    """
    if not (0 < good_share < 1 and 0 < confidence < 1):
        raise InputError(
            "sampling plan", ["good_share and confidence: expected shares between 0 and 1"]
        )
    if lot is None:
        return math.ceil(math.log(1 - confidence) / math.log(good_share))
    failures = math.floor(lot * (1 - good_share) + 1e-9) + 1
    sizes = np.arange(1, lot + 1)
    missed = acceptance(sizes, 0, failures / lot, lot=lot)
    return int(sizes[np.argmax(missed <= 1 - confidence)])


def _smallest(
    chance: Callable[..., Values], allowed: int, bad: float, missed: float, largest: int
) -> int | None:
    """Smallest sample that lets a bad lot pass no oftener than ``missed``."""
    low, high = allowed + 1, allowed + 1
    while float(chance(min(high, largest), allowed, bad)) > missed:
        if high >= largest:
            return None
        low, high = high + 1, 2 * high
    high = min(high, largest)
    while low < high:
        middle = (low + high) // 2
        if float(chance(middle, allowed, bad)) > missed:
            low = middle + 1
        else:
            high = middle
    return low


def _in_order(good: float, bad: float) -> None:
    if not 0 <= good < bad <= 1:
        raise InputError(
            "sampling plan",
            [
                "good and bad: expected shares of failures with good below bad, "
                f"found {good:g} and {bad:g}"
            ],
        )


def _risks(false_alarm: float, missed: float) -> None:
    if not (0 < false_alarm < 1 and 0 < missed < 1):
        raise InputError(
            "sampling plan",
            [
                "false_alarm and missed: expected shares between 0 and 1, "
                f"found {false_alarm:g} and {missed:g} (in per cent? Divide by 100)"
            ],
        )
