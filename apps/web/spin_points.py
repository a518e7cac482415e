"""How a claim stands to what one way of spinning asks: its force, its time, its drive."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from django.utils.translation import gettext

from apps.web.figures import figures
from planner.engine.conditions import parse_condition
from planner.engine.matching import Verdict, check
from planner.engine.physics.claims import Claim, ClaimReport
from planner.engine.physics.spin import speed_rpm

MOST, LEAST, TIME, DRIVE = "rcf_max_g", "rcf_settable_min_g", "continuous_run_min", "motor_driven"
CLAIMED = (MOST, LEAST, TIME, DRIVE)
UNTRUE = ("inconsistent", "implausible_by_hand")


class Asked(Protocol):
    """What is asked; forces in g at r_max, ``None``: no limit on that side."""

    @property
    def low_g(self) -> float | None: ...
    @property
    def high_g(self) -> float | None: ...
    @property
    def minutes(self) -> float | None: ...
    @property
    def by_motor(self) -> bool: ...
    @property
    def band(self) -> str: ...


@dataclass(frozen=True)
class Point:
    """One thing that a procedure asks, and how the claim stands to it."""

    verdict: Verdict
    text: str


def span(low: float | None, high: float | None) -> str:
    """``1,000–2,000``; one number where both ends are alike or one is missing."""
    if low is None and high is None:
        return ""
    if low is None:
        return gettext("up to %(high)s") % {"high": _number(high or 0)}
    if high is None:
        return gettext("from %(low)s") % {"low": _number(low)}
    return _number(low) if low == high else f"{_number(low)}–{_number(high)}"


def _number(value: float) -> str:
    return figures(value, 0 if value == int(value) else 2)


def points(spin: Asked, claim: Claim, report: ClaimReport) -> Iterable[Point]:
    """Force, then time and drive where they are asked; of a claim that cannot stand, only that."""
    if report.verdict in UNTRUE:
        yield Point(Verdict.UNKNOWN, gettext("The claim cannot stand as it is; settle it first."))
        return
    if spin.low_g is None and spin.high_g is None:
        yield Point(Verdict.UNKNOWN, gettext("The catalogue's source states no force for it."))
    elif report.rcf_g is None:
        yield Point(Verdict.UNKNOWN, gettext("No force follows from the claim."))
    else:
        yield _force(spin, claim, report)
    if spin.minutes:
        yield _time(spin.minutes, claim.minutes)
    if spin.by_motor:
        yield _drive(claim.drive)


def _held(attribute: str, comparator: str, limit: float, claimed: float | None) -> Verdict:
    """By the rules that match the devices of the catalogue."""
    return check(attribute, parse_condition({comparator: limit}), claimed).verdict


def _force(spin: Asked, claim: Claim, report: ClaimReport) -> Point:
    force = float(report.rcf_g or 0)
    words = {"force": figures(force), "band": spin.band}
    reached = spin.low_g is None or _held(MOST, "min", spin.low_g, force) is Verdict.MET
    gentle = spin.high_g is None or _held(LEAST, "max", spin.high_g, force) is Verdict.MET
    if reached and gentle:
        sure, text = Verdict.MET, gettext("%(force)s g lies within %(band)s g.") % words
    elif reached:
        sure, text = Verdict.UNKNOWN, _slower(spin, report, words)
    else:
        sure, text = Verdict.NOT_MET, gettext("%(force)s g is too weak for %(band)s g.") % words
    if claim.radius_kind == "r_max" or sure is Verdict.UNKNOWN:
        return Point(sure, text)
    where = {
        None: gettext("That holds if it is the force at the tube's tip, r max: say so."),
        "r_av": gettext("But it is claimed at r av; the method asks for it at r max."),
        "r_min": gettext("But it is claimed at r min; the method asks for it at r max."),
    }[claim.radius_kind]
    return Point(Verdict.UNKNOWN, f"{text} {where}")


def _slower(spin: Asked, report: ClaimReport, words: Mapping[str, str]) -> str:
    text = gettext("%(force)s g is more than %(band)s g: can it run slower?") % words
    if report.radius_cm is None or spin.high_g is None:
        return text
    limit = float(speed_rpm(spin.high_g, report.radius_cm))
    return f"{text} " + gettext("At this radius at most %(speed)s rpm.") % {
        "speed": figures(float(f"{limit:.3g}"))
    }


def _time(needed: float, claimed: float | None) -> Point:
    words = {"needed": f"{needed:g}", "claimed": f"{claimed or 0:g}"}
    verdict = _held(TIME, "min", needed, claimed)
    texts = {
        Verdict.MET: gettext("It runs for the %(needed)s min that are needed."),
        Verdict.NOT_MET: gettext("It runs for %(claimed)s min; %(needed)s min are needed."),
        Verdict.UNKNOWN: gettext("Can it run for %(needed)s min without a pause?"),
    }
    return Point(verdict, texts[verdict] % words)


def _drive(drive: str | None) -> Point:
    verdict = check(
        DRIVE, parse_condition({"is": True}), None if drive is None else drive != "hand"
    ).verdict
    texts = {
        Verdict.MET: gettext("A motor keeps the speed steady."),
        Verdict.NOT_MET: gettext("The method asks for a motor: a hand does not hold the speed."),
        Verdict.UNKNOWN: gettext("Is it driven by a motor? The method asks for one."),
    }
    return Point(verdict, texts[verdict])
