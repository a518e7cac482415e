"""Shares with their intervals, and yes told from no."""

from dataclasses import dataclass

from planner.engine.agreement.paired import Interval
from planner.engine.errors import InputError
from planner.engine.intervals import clopper_pearson, wilson


@dataclass(frozen=True)
class Share:
    """``count`` of ``of`` with two intervals of level ``confidence``.

    ``wilson``: score interval without continuity correction (Wilson 1927), near its level on
    average. ``exact``: Clopper-Pearson 1934, never below its level.
    """

    count: int
    of: int
    confidence: float
    wilson: Interval
    exact: Interval

    @property
    def value(self) -> float:
        return self.count / self.of


def share(count: int, of: int, *, confidence: float = 0.95) -> Share:
    """A share with Wilson's and Clopper and Pearson's intervals.

    Raises ``InputError`` unless 0 ≤ ``count`` ≤ ``of`` and ``of`` is at least 1.
    """
    if not 0 <= count <= of or of < 1:
        raise InputError(
            "share", [f"count: expected from 0 to the number counted, found {count} of {of}"]
        )
    score, exact = (bounds(count, of, confidence) for bounds in (wilson, clopper_pearson))
    return Share(
        count,
        of,
        confidence,
        Interval(float(score[0]), float(score[1])),
        Interval(float(exact[0]), float(exact[1])),
    )


@dataclass(frozen=True)
class Qualitative:
    """A 2 × 2 table of a device's yes and no against the reference's.

    ``None`` where the reference had no positive, or no negative, specimen.
    """

    true_positive: int
    false_positive: int
    false_negative: int
    true_negative: int
    sensitivity: Share | None
    specificity: Share | None
    kappa: float | None

    @property
    def n(self) -> int:
        return self.true_positive + self.false_positive + self.false_negative + self.true_negative

    @property
    def agreement(self) -> float:
        """Share of specimens on which both say the same."""
        return (self.true_positive + self.true_negative) / self.n


def qualitative(
    true_positive: int, false_positive: int, false_negative: int, true_negative: int
) -> Qualitative:
    """Sensitivity and specificity with intervals, and Cohen's κ (1960), of a 2 × 2 table.

    Raises ``InputError`` for a negative count or an empty table.
    """
    counts = {
        "true positive": true_positive,
        "false positive": false_positive,
        "false negative": false_negative,
        "true negative": true_negative,
    }
    problems = [
        f"{name}: expected 0 or more, found {count}" for name, count in counts.items() if count < 0
    ]
    if not problems and not any(counts.values()):
        problems = ["specimens: expected at least one, found none"]
    if problems:
        raise InputError("2 × 2 table", problems)
    positive, negative = true_positive + false_negative, true_negative + false_positive
    return Qualitative(
        true_positive,
        false_positive,
        false_negative,
        true_negative,
        share(true_positive, positive) if positive else None,
        share(true_negative, negative) if negative else None,
        _kappa(true_positive, false_positive, false_negative, true_negative),
    )


def _kappa(tp: int, fp: int, fn: int, tn: int) -> float | None:
    """Agreement beyond chance; ``None`` where chance alone would agree on everything."""
    n = tp + fp + fn + tn
    by_chance = ((tp + fp) * (tp + fn) + (fn + tn) * (fp + tn)) / n**2
    return None if by_chance == 1 else ((tp + tn) / n - by_chance) / (1 - by_chance)
