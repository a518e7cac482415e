"""Is a claimed centrifuge possible? What the figures imply, and what would settle it.

Speed, radius and relative centrifugal force determine each other; power and drive bound them.
The check finds contradictions; it never shows that a device does what is said of it.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.errors import InputError
from planner.engine.physics import contradictions, effort, lacking, spin
from planner.engine.physics.claimed import (
    USUAL_RADIUS_CM,
    Claim,
    Drive,
    Material,
    RadiusKind,
    Rotor,
    figures,
    refuse_impossible,
)
from planner.engine.physics.doubts import Doubt, Verdict
from planner.engine.physics.quantities import RCF_G, Quantity, Values, judged

__all__ = [
    "USUAL_RADIUS_CM",
    "Claim",
    "ClaimReport",
    "Drive",
    "Material",
    "RadiusKind",
    "Reason",
    "Rotor",
    "Verdict",
    "bands",
    "claim_check",
]

_GRAVEST_FIRST: tuple[Verdict, ...] = ("inconsistent", "implausible_by_hand", "unknown")
_CHECKS = (
    lacking.newtons,
    lacking.what_is_missing,
    contradictions.two_imply_the_third,
    contradictions.three_agree,
    contradictions.radius_is_usual,
    contradictions.radius_is_inside_the_rotor,
    effort.power_suffices,
    effort.power_bounds_the_rotor,
    effort.hand_suffices,
)
_LEAST_G = Quantity(RCF_G.name, "g", 0, RCF_G.highest, RCF_G.slip, above_zero=False)


@dataclass(frozen=True)
class Reason:
    """A finding in words, with a code that a page can look up."""

    code: str
    text: str


@dataclass(frozen=True)
class ClaimReport:
    """What a claim amounts to. ``None``: neither stated nor implied.

    ``implied`` names the figure that was worked out. ``power_at_least_w`` is what air takes
    from a bare disc of the rotor's size. ``settle`` lists the measurements that would settle
    the claim, or confirm what it implies.
    """

    verdict: Verdict
    speed_rpm: float | None
    radius_cm: float | None
    rcf_g: float | None
    implied: tuple[str, ...]
    power_at_least_w: float | None
    rim_speed_m_s: float | None
    reasons: tuple[Reason, ...]
    settle: tuple[str, ...]
    cautions: tuple[str, ...]


def claim_check(claim: Claim) -> ClaimReport:
    """Hold what is said of a centrifuge against what physics allows.

    ``inconsistent``: the figures contradict each other, the usual radii of such rotors, or
    the stated power. ``implausible_by_hand``: a person could not drive it. ``unknown``: too
    little is said, or it hangs on a measurement. ``consistent``: nothing speaks against it.
    The gravest finding decides; ``reasons`` holds them all.

    Raises ``InputError`` with one line for each value that cannot exist.
    """
    refuse_impossible(claim)
    found = figures(claim)
    doubts = [doubt for check in _CHECKS for doubt in check(claim, found)]
    raised = {doubt.verdict for doubt in doubts}
    return ClaimReport(
        verdict=next((verdict for verdict in _GRAVEST_FIRST if verdict in raised), "consistent"),
        speed_rpm=_stated(found.speed_rpm),
        radius_cm=_stated(found.radius_cm),
        rcf_g=_stated(found.rcf_g),
        implied=found.implied,
        power_at_least_w=_stated(found.power_at_least_w),
        rim_speed_m_s=_stated(found.rim_speed_m_s),
        reasons=tuple(Reason(doubt.code, doubt.text) for doubt in doubts),
        settle=_each_once(doubts),
        cautions=tuple(effort.cautions(claim, found)),
    )


def bands(
    speed_rpm: ArrayLike, radius_cm: ArrayLike, wanted: Iterable[tuple[str, float, float]]
) -> dict[str, Values]:
    """Which bands of force contain each point of speed and radius, both ends included.

    ``wanted`` holds a name, the least and the greatest RCF in g of each band (infinity: no
    upper end). For each name an array of the broadcast shape of speed and radius: 1 inside,
    0 outside, NaN not known. The edge of a band in a drawing over radius is
    ``spin.speed_rpm(limit, radius)``.

    Raises ``InputError`` if a band ends below its beginning.
    """
    force = spin.rcf_g(speed_rpm, radius_cm)
    inside = {}
    for name, low, high in wanted:
        least = float(_LEAST_G.values(low))
        if high < least:
            raise InputError("bands", [f"{name}: ends at {high:g} g, below its start at {low:g} g"])
        inside[name] = judged((force < least) | (force > high), np.isnan(force))
    return inside


def _stated(value: float) -> float | None:
    return None if math.isnan(value) else value


def _each_once(doubts: Iterable[Doubt]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(measure for doubt in doubts for measure in doubt.settle))
