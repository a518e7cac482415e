"""A finding about a claim, what would settle it, and how exact a claim is taken to be."""

from dataclasses import dataclass
from typing import Literal

from planner.engine.physics import spin

Verdict = Literal["consistent", "inconsistent", "implausible_by_hand", "unknown"]

SPEED_ERROR = 0.05
"""Relative error that a stated speed may have; laboratories keep rotors within 5 % of their
speed at the quarterly check (seen)."""

HANDBOOK_ROUNDING = 0.002
"""Handbooks print 1.118e-5 (0.02 % low) to 1.12e-5 (0.16 % high) for the exact constant."""

READ_SPEED = "Read the speed at the stated load with a tachometer."
LOG_SPEED = "Log the speed over a whole run in the user's hands: the mean of its square counts."
MEASURE_RADIUS = "Measure the radius from the axis to the far end of tube or capillary, in cm."
MEASURE_ROTOR = "Measure the rotor from the axis to its outermost point, in cm."
MEASURE_POWER = "Measure the power that is drawn at the stated speed."
ASK_FORCE = "Ask for the relative centrifugal force as a multiple of g, and at which radius."


@dataclass(frozen=True)
class Doubt:
    """One finding: what it makes of the claim, a code, the reason, what would settle it."""

    verdict: Verdict
    code: str
    text: str
    settle: tuple[str, ...] = ()


def agreement_limits() -> tuple[float, float]:
    """Least and greatest ratio of a stated force to the computed one that still agree.

    A speed within ±5 % moves the force by −9.75 to +10.25 %; the rounding of the handbooks'
    constant widens this by 0.2 %.
    """
    low, high = spin.rcf_error_bounds(SPEED_ERROR)
    return (1 + float(low)) * (1 - HANDBOOK_ROUNDING), (1 + float(high)) * (1 + HANDBOOK_ROUNDING)
