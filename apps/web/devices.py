"""A device model arranged for its page: what it claims, what physics and evidence say of it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain, groupby
from typing import Any

from apps.web.device_claims import LightClaim, SpinClaim, light_claims, spin_claim
from apps.web.limits import Limit, limits
from apps.web.sourced import Stated, stated
from apps.web.studies import StudyRow, study_rows
from apps.web.suits import Suits, accepted, by_method

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
class DeviceSheet:
    """All that the page of a device model says besides the rows themselves."""

    roles: tuple[Role, ...]
    claim: SpinClaim | None
    light: tuple[LightClaim, ...]
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
    claim, impossible = spin_claim(model)
    return DeviceSheet(
        roles=_roles(model),
        claim=claim,
        light=tuple(light_claims(model)),
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
