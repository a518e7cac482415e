"""What a result can be found guilty of, and how much rounding is forgiven."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

TOLERANCE = 1e-6
"""Relative to the limit or amount compared with, and absolute where that is below 1."""

Rule = Literal[
    "case-hash",
    "status",
    "reasons",
    "unknown-code",
    "duplicate",
    "quantity",
    "already-there",
    "not-providable",
    "evidence",
    "fixed",
    "bundle",
    "move",
    "models-per-class",
    "cost",
    "volume-size",
    "route",
    "demand",
    "device",
    "repair",
    "skill",
    "infrastructure",
    "staff-hours",
    "machine-hours",
    "capital",
    "payment",
    "recurrent",
    "recurrent-stated",
    "trainer-days",
    "floor",
    "objective",
    "bound",
    "gap",
    "objective-before",
    "stages",
    "minimum-sets",
    "targets",
    "groups",
]

RULES: Mapping[Rule, str] = {
    "case-hash": "The result answers this case: its case_sha256 is the case's.",
    "status": "The status fits what is stated beside it.",
    "reasons": "Reasons stand only in an infeasible result, and quote limits as the case has them.",
    "unknown-code": "Every code of the result stands in the case.",
    "duplicate": "An action, and a volume, is listed once.",
    "quantity": "At most max_units bought and as many repaired as are broken; others once.",
    "already-there": "A skill or infrastructure item that a site has is not given again.",
    "not-providable": "Infrastructure is provided only at levels for which it has a cost.",
    "evidence": "Models graded below the minimum are neither bought nor repaired.",
    "fixed": "Each action that the case fixes is taken as often as it says.",
    "bundle": "A model that comes in a bundle is bought only where all of the bundle is.",
    "move": "Units are moved as the case offers it, and no more than work where they come from.",
    "models-per-class": "Of each class at most so many models are bought.",
    "cost": "An action costs its quantity times the price in the case.",
    "volume-size": "A listed volume is at least 1e-6 tests a year.",
    "route": "Tests are done at the own site, or over a link that the specimen survives.",
    "demand": "No site gets more of a test than it asks for.",
    "device": "Each need of a method in use is met by a working unit at the site.",
    "repair": "Tests that rest on repairs alone are done in the share that succeeds.",
    "skill": "Each skill of a method in use is there or trained.",
    "infrastructure": "Each infrastructure item of a method in use is there or provided.",
    "staff-hours": "The tests done at a site fit its staff hours.",
    "machine-hours": "The machine hours of a site can be split over its units, none used twice.",
    "capital": "Capital and the earmarks can pay the actions, each earmark only what it may.",
    "payment": "The money stated is what the actions cost, and can be paid out that way.",
    "recurrent": "The running cost of the whole service is within its limit.",
    "recurrent-stated": "The running cost is as stated.",
    "trainer-days": "The training fits the trainer days.",
    "floor": "Each area reaches its floor.",
    "objective": "The objective is as stated.",
    "bound": "The bound is not below what the result itself shows to be possible.",
    "gap": "gap = (bound - objective) / max(|objective|, 1e-9).",
    "objective-before": "What the district can do today, without any action, is as stated.",
    "stages": "What is sought one after the other is what the case asks, reached as stated.",
    "minimum-sets": "Each test of a minimum set is listed for each site, reached or not, as it is.",
    "targets": "Each target of the case is listed with the share that the plan reaches.",
    "groups": "Each area or level that is to be raised reaches what is stated.",
}


@dataclass(frozen=True, slots=True)
class Violation:
    """One rule that the result breaks, and where and by how much, in words."""

    rule: Rule
    text: str


def exceeds(amount: float, limit: float) -> bool:
    """Whether ``amount`` is above ``limit`` by more than rounding explains."""
    return amount - limit > TOLERANCE * max(1.0, abs(limit))


def differs(stated: float, found: float) -> bool:
    """Whether two figures for the same thing differ by more than rounding explains."""
    return abs(stated - found) > TOLERANCE * max(1.0, abs(found))


def figure(amount: float) -> str:
    """``12 345.5``: enough digits to see what is wrong."""
    return f"{amount:,.10g}".replace(",", " ")
