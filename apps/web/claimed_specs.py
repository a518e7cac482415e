"""For which methods a claimed device would do, by what the claim speaks of.

What a method asks besides is listed as still to be shown: silence is neither yes nor no.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from apps.web.sourced import Ask, asks
from apps.web.suits import Suits
from planner.engine.conditions import SpecValue, parse_condition
from planner.engine.matching import Verdict, check


@dataclass(frozen=True)
class Remark:
    """One thing that physics says of a claim."""

    state: str
    text: str


@dataclass(frozen=True)
class ClaimHeld:
    """A claim held against one need of a method; ``also`` is what the claim does not speak of."""

    method: Any
    verdict: Verdict
    reasons: tuple[str, ...]
    also: tuple[Ask, ...]


def held_against(
    methods: Iterable[Any], device_class: str, claimed: Mapping[str, SpecValue | None]
) -> Suits:
    """``claimed``: each attribute that the claim may speak of; ``None``: it does not.

    Methods without a need of ``device_class``, or whose need asks nothing of these, are left
    out.
    """
    found = []
    for method in methods:
        for need in method.needs.all():
            rows = list(need.requirements.all())
            spoken = [row for row in rows if row.attribute.code in claimed]
            if need.device_class.code == device_class and spoken:
                also = [row for row in rows if row.attribute.code not in claimed]
                found.append(_held(method, spoken, also, claimed))
    found.sort(key=lambda each: (each.method.test.name, each.method.name))
    return Suits.sort(found)


def _held(
    method: Any,
    spoken: Iterable[Any],
    also: Iterable[Any],
    claimed: Mapping[str, SpecValue | None],
) -> ClaimHeld:
    findings = []
    for row in spoken:
        condition = parse_condition({row.comparator: row.value})
        finding = check(row.attribute.code, condition, claimed[row.attribute.code])
        _, _, said = finding.reason.partition(": ")
        findings.append((finding.verdict, f"{row.attribute.name}: {said}"))
    worst = min(verdict for verdict, _ in findings)
    reasons = tuple(text for verdict, text in findings if verdict is worst)
    return ClaimHeld(method, worst, reasons, asks(also))
