"""A device model arranged for its page: what it claims, what physics and evidence say of it."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain, groupby
from typing import Any
from urllib.parse import urlencode

from apps.web.claims import SAYS
from apps.web.limits import Limit, StudyRow, limits, study_rows
from apps.web.sourced import Stated, stated
from apps.web.suits import Suits, accepted, by_method
from planner.engine.errors import InputError
from planner.engine.physics.claims import Claim, ClaimReport, claim_check

CENTRIFUGE = "centrifuge"
CAPILLARY_ML = 0.075
SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9])")


@dataclass(frozen=True)
class Kind:
    """What one kind of device of a class usually costs, draws and takes; blank: the usual one."""

    name: str
    ranges: tuple[Any, ...]


@dataclass(frozen=True)
class Role:
    """A class that the model serves, what it states for it, and what such devices usually cost."""

    device_class: Any
    stated: tuple[Stated, ...]
    kinds: tuple[Kind, ...]


@dataclass(frozen=True)
class SpinClaim:
    """What physics says of the model's figures; ``query`` is the same claim in an address."""

    state: str
    words: str
    report: ClaimReport
    query: str


@dataclass(frozen=True)
class DeviceSheet:
    """All that the page of a device model says besides the rows themselves."""

    roles: tuple[Role, ...]
    claim: SpinClaim | None
    impossible: tuple[str, ...]
    studies: tuple[StudyRow, ...]
    methods: Suits
    settle: tuple[str, ...]
    limits: tuple[Limit, ...]
    cautions: tuple[str, ...]
    counted: bool


def device_sheet(page: Any, held: Iterable[Any]) -> DeviceSheet:
    """``page`` of ``catalogue.selectors.device_page`` with the model held against all needs."""
    model = page.model
    verdicts = by_method(held)
    claim, impossible = _spin_claim(model)
    return DeviceSheet(
        roles=_roles(model),
        claim=claim,
        impossible=impossible,
        studies=study_rows(page.evidence.studies),
        methods=Suits.sort(verdicts),
        settle=tuple(dict.fromkeys(chain.from_iterable(each.settle for each in verdicts))),
        limits=limits(page.limits),
        cautions=tuple(SENTENCE_END.split(model.cautions.strip())) if model.cautions else (),
        counted=accepted(model.evidence),
    )


def _roles(model: Any) -> tuple[Role, ...]:
    specifications = stated(model.specifications.all())
    return tuple(
        Role(
            served.device_class,
            tuple(
                each
                for each in specifications
                if each.attribute.device_class_id == served.device_class_id
            ),
            _kinds(served.device_class.ranges.all()),
        )
        for served in model.served_classes.all()
    )


def _kinds(ranges: Iterable[Any]) -> tuple[Kind, ...]:
    """Planning ranges by kind of device; they come sorted by it."""
    grouped = groupby(ranges, key=lambda row: row.variant)
    return tuple(Kind(variant, tuple(rows)) for variant, rows in grouped)


def _spin_claim(model: Any) -> tuple[SpinClaim | None, tuple[str, ...]]:
    """The check of a centrifuge's figures; beside it what the engine refuses, if anything."""
    if not any(each.device_class.code == CENTRIFUGE for each in model.served_classes.all()):
        return None, ()
    figures = {
        each.attribute.code: each.value
        for each in model.specifications.all()
        if each.attribute.device_class.code == CENTRIFUGE
    }
    said = _said(figures)
    try:
        report = claim_check(Claim(**said))
    except InputError as refusal:
        return None, refusal.problems
    state, words = SAYS[report.verdict]
    return SpinClaim(state, str(words), report, urlencode(said)), ()


def _said(figures: Mapping[str, Any]) -> dict[str, Any]:
    """What the specifications say, as a claim; what they do not say is left out."""
    by_hand = figures.get("motor_driven") is False
    said = {
        "radius_cm": figures.get("r_max_cm"),
        "radius_kind": "r_max" if "r_max_cm" in figures or "rcf_max_g" in figures else None,
        "rcf_g": figures.get("rcf_max_g"),
        "drive": "hand" if by_hand else None,
        "rotor": "capillary" if figures.get("tube_ml") == [CAPILLARY_ML] else None,
        "minutes": figures.get("continuous_run_min"),
        # Of a hand-driven device the power "drawn" is none, and says nothing of its rotor.
        "power_w": None if by_hand else figures.get("power_w"),
    }
    return {name: value for name, value in said.items() if value is not None}
