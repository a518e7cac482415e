"""For which procedures of the catalogue a claimed spin would do, would not do, or is unknown.

A claim speaks of force, time and drive. These are held against what the methods require, by
the same rules as the devices of the catalogue; what else a method asks of a centrifuge, such
as tubes and cups, is listed as still to be shown.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from string import ascii_uppercase
from typing import Any

from django.utils.translation import gettext

from apps.web.figures import figures
from apps.web.sourced import Ask, asks
from apps.web.suits import MARKS, WOULD
from planner.engine.conditions import parse_condition
from planner.engine.matching import Verdict, check
from planner.engine.physics.claims import Claim, ClaimReport
from planner.engine.physics.spin import speed_rpm

MOST, LEAST, TIME, DRIVE = "rcf_max_g", "rcf_settable_min_g", "continuous_run_min", "motor_driven"
CLAIMED = (MOST, LEAST, TIME, DRIVE)
UNTRUE = ("inconsistent", "implausible_by_hand")


@dataclass(frozen=True)
class Point:
    """One thing that a procedure asks, and how the claim stands to it."""

    verdict: Verdict
    text: str


@dataclass(frozen=True)
class Spin:
    """A procedure with the methods that ask the same of it, and how a claim stands to it.

    ``low_g`` and ``high_g`` are the accepted band of force at r_max and ``minutes`` the time;
    ``None`` where the catalogue sets no limit. ``also`` is what the claim does not speak of.
    """

    key: str
    procedure: Any
    methods: tuple[Any, ...]
    low_g: float | None
    high_g: float | None
    minutes: float | None
    by_motor: bool
    asked: tuple[Ask, ...]
    also: tuple[Ask, ...]
    points: tuple[Point, ...] = ()
    chosen: bool = False

    @property
    def verdict(self) -> Verdict:
        return min((point.verdict for point in self.points), default=Verdict.UNKNOWN)

    @property
    def state(self) -> str:
        return MARKS[self.verdict]

    @property
    def would(self) -> str:
        return str(WOULD[self.verdict])

    @property
    def why(self) -> list[str]:
        """What speaks against it; where nothing does, what speaks for it."""
        short = [point.text for point in self.points if point.verdict is not Verdict.MET]
        worst = [point.text for point in self.points if point.verdict is self.verdict]
        return worst if self.verdict is Verdict.NOT_MET else short or worst

    @property
    def band(self) -> str:
        return span(self.low_g, self.high_g)


def span(low: float | None, high: float | None) -> str:
    """``1,000–2,000``; one number where both ends are alike or one is missing."""
    if low is None and high is None:
        return ""
    if low is None:
        return gettext("up to %(high)s") % {"high": figures(high or 0)}
    if high is None:
        return gettext("from %(low)s") % {"low": figures(low)}
    return figures(low) if low == high else f"{figures(low)}–{figures(high)}"


def spins(procedures: Iterable[Any]) -> list[Spin]:
    """The procedures, the weakest force first; where methods ask differently, one for each way."""
    found = list(chain.from_iterable(_variants(procedure) for procedure in procedures))
    found.sort(key=_weakest_first)
    return [replace(spin, key=key) for spin, key in zip(found, _keys(len(found)), strict=True)]


def _weakest_first(spin: Spin) -> tuple[float, float, str, bool]:
    return spin.low_g or 0, spin.high_g or 0, spin.procedure.code, spin.by_motor


def judged(
    found: Iterable[Spin], claim: Claim, report: ClaimReport, *, method: str = ""
) -> list[Spin]:
    """``found`` with how the claim stands to each; those of ``method`` (a code) are chosen."""
    return [
        replace(
            spin,
            points=tuple(_points(spin, claim, report)),
            chosen=any(each.code == method for each in spin.methods),
        )
        for spin in found
    ]


def method_choices(found: Sequence[Spin]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The methods that spin something, under the names of their tests, for a form."""
    methods = {each.code: each for spin in found for each in spin.methods}
    groups: dict[str, list[tuple[str, str]]] = {}
    for each in sorted(methods.values(), key=lambda each: (each.test.name, each.name)):
        groups.setdefault(each.test.name, []).append((each.code, each.name))
    return list(groups.items())


def _variants(procedure: Any) -> list[Spin]:
    """One spin for each set of claimable requirements among the procedure's methods."""
    grouped: dict[Any, list[Any]] = {}
    for step in procedure.steps.all():
        if step.need is not None:
            rows = [row for row in step.need.requirements.all() if row.attribute.code in CLAIMED]
            key = tuple((row.attribute.code, row.comparator, str(row.value)) for row in rows)
            grouped.setdefault(key, []).append(step)
    return [_spin(procedure, steps) for steps in grouped.values()] or [_stated(procedure)]


def _spin(procedure: Any, steps: Sequence[Any]) -> Spin:
    rows = steps[0].need.requirements.all()
    limits = {row.attribute.code: row.value for row in rows}
    others = chain.from_iterable(step.need.requirements.all() for step in steps)
    return Spin(
        key="",
        procedure=procedure,
        methods=tuple({step.method.code: step.method for step in steps}.values()),
        low_g=limits.get(MOST),
        high_g=limits.get(LEAST),
        minutes=limits.get(TIME),
        by_motor=bool(limits.get(DRIVE)),
        asked=asks(row for row in rows if row.attribute.code in CLAIMED),
        also=asks(row for row in others if row.attribute.code not in CLAIMED),
    )


def _stated(procedure: Any) -> Spin:
    """A procedure that no method of the catalogue uses, as its source states it."""
    return Spin(
        key="",
        procedure=procedure,
        methods=(),
        low_g=procedure.rcf_g_low,
        high_g=procedure.rcf_g_high,
        minutes=procedure.minutes_low or None,
        by_motor=False,
        asked=(),
        also=(),
    )


def _keys(count: int) -> list[str]:
    """A, B, ... Z, AA, AB: short names for the drawing."""
    letters = ["", *ascii_uppercase]
    return [f"{letters[at // 26]}{ascii_uppercase[at % 26]}" for at in range(count)]


def _points(spin: Spin, claim: Claim, report: ClaimReport) -> Iterable[Point]:
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


def _force(spin: Spin, claim: Claim, report: ClaimReport) -> Point:
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


def _slower(spin: Spin, report: ClaimReport, words: Mapping[str, str]) -> str:
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
