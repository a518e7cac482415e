"""For which procedures of the catalogue a claimed spin would do, would not do, or is unknown.

A claim speaks of force, time and drive. These are held against what the methods require, by
the same rules as the devices of the catalogue; what else a method asks of a centrifuge, such
as tubes and cups, is listed as still to be shown.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import chain
from string import ascii_uppercase
from typing import Any

from apps.web.sourced import asks
from apps.web.spin_points import CLAIMED, DRIVE, LEAST, MOST, TIME, points
from apps.web.spin_ways import Spin
from planner.engine.physics.claims import Claim, ClaimReport


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
            points=tuple(points(spin, claim, report)),
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
