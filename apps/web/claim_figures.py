"""The figures of a claim about a centrifuge, stated or worked out, in words."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext, gettext_lazy

from planner.engine.physics.claims import Claim, ClaimReport
from planner.engine.physics.quantities import (
    MINUTES,
    POWER_W,
    RADIUS_CM,
    RCF_G,
    SPEED_RPM,
    rounded_in_words,
)

DRIVES = {
    "hand": gettext_lazy("hand or foot"),
    "battery": gettext_lazy("motor on a battery"),
    "mains": gettext_lazy("motor on mains"),
}


@dataclass(frozen=True)
class Figure:
    """A figure of the claim: stated, or worked out from the others."""

    label: str
    words: str
    how: str


def claim_figures(claim: Claim, report: ClaimReport) -> tuple[Figure, ...]:
    """Speed, radius and force with what follows from them, then what else is claimed."""
    return (*_figures(claim, report), *_circumstances(claim))


def _figures(claim: Claim, report: ClaimReport) -> Iterator[Figure]:
    quantities = (
        ("speed_rpm", gettext("Speed"), SPEED_RPM),
        ("radius_cm", gettext("Radius"), RADIUS_CM),
        ("rcf_g", gettext("Relative centrifugal force"), RCF_G),
    )
    for name, label, quantity in quantities:
        value = getattr(report, name)
        how = gettext("implied") if name in report.implied else gettext("claimed")
        if name == "radius_cm" and claim.radius_kind:
            how = f"{how}, {claim.radius_kind}"
        known = value is not None
        yield Figure(label, quantity.in_words(value) if known else "", how if known else "")
    if report.power_at_least_w is not None:
        words = POWER_W.in_words(float(f"{report.power_at_least_w:.2g}"))
        yield Figure(gettext("Power it takes at least"), words, gettext("air alone, bare disc"))
    if report.rim_speed_m_s is not None:
        words = f"{rounded_in_words(report.rim_speed_m_s, 2)} m/s"
        yield Figure(gettext("Speed of the rim"), words, gettext("implied"))


def _circumstances(claim: Claim) -> Iterator[Figure]:
    """What else is claimed, so that a printed answer holds its whole question."""
    how = gettext("claimed")
    if claim.drive:
        yield Figure(gettext("Driven by"), str(DRIVES[claim.drive]), how)
    if claim.minutes is not None:
        yield Figure(gettext("Time it runs"), MINUTES.in_words(claim.minutes), how)
    if claim.power_w is not None:
        yield Figure(gettext("Power that drives it"), POWER_W.in_words(claim.power_w), how)
