"""Readings of one kind held against a set of limits, by the engine; nothing is stored here."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from apps.inventory.adapters.limits import LimitSet, engine_limit, unit_words
from apps.inventory.adapters.readings import Readings
from apps.inventory.adapters.results import Pair, held_against, of_pairs, of_yes_and_no
from apps.inventory.adapters.spinning import of_spins
from apps.inventory.adapters.stating import Figures, Found, of_settings
from apps.inventory.choices import GREATEST_FORCE, SpinSetting
from apps.inventory.choices import VerificationKind as Kind
from planner.engine.agreement import Check, Judgement, judge
from planner.engine.errors import InputError

WITHOUT_RADIUS = (
    "radius: not stated. Measure from the axis to the tip of the tube as it spins, in cm"
)


@dataclass(frozen=True)
class Computed:
    """``outcome`` against the limits; ``figures`` as JSON with the ``checks`` in words;
    ``measured``: attribute of the device class to its value on this device."""

    outcome: str
    figures: Figures
    measured: dict[str, float]


def compute(
    kind: str,
    readings: Readings,
    limits: LimitSet,
    *,
    analyte: str = "",
    attributes: Collection[str] = (),
    radius_cm: float | None = None,
    set_rpm: float | None = None,
    setting: str = SpinSetting.GREATEST,
) -> Computed:
    """Everything that the readings say, and the judgement by those limits they can speak of.

    ``analyte``: which of those that the limits tell apart. ``attributes``: codes of those that
    describe the device's classes; others are not measured. ``radius_cm``, ``set_rpm`` and
    ``setting`` are facts about a spin.

    Raises ``InputError`` for readings that cannot be used, or that no limit speaks of.
    """
    kept = limits.of(kind, analyte)
    if not kept:
        raise InputError(
            "verification",
            [f"limits: those of {limits.rule} say nothing about such readings"],
        )
    if kind == Kind.SPIN:
        if radius_cm is None and GREATEST_FORCE in attributes:
            raise InputError("speed log", [WITHOUT_RADIUS])
        figures, found, measured = of_spins(readings, radius_cm, set_rpm, setting)
    elif kind == Kind.PAIRED:
        figures, found, measured = of_pairs(readings)
    elif kind == Kind.YES_NO:
        figures, found, measured = of_yes_and_no(readings)
    else:
        figures, found, measured = of_settings(kind, readings)
    in_ranges = kind == Kind.PAIRED
    pairs = list(held_against(kept, readings) if in_ranges else _plain(kept, found))
    judged = _judge(pairs)
    checks = [
        _check_as_json(check, limit.measure)
        for check, (limit, _) in zip(judged.checks, pairs, strict=True)
    ]
    return Computed(
        judged.outcome,
        {**figures, "unit": unit_words(limits.unit(analyte)), "checks": checks},
        {name: value for name, value in measured.items() if name in attributes},
    )


def _judge(pairs: Sequence[Pair]) -> Judgement:
    """Each limit with its own figure, though two may be of the same measure."""
    named = [(replace(limit, measure=str(at)), found) for at, (limit, found) in enumerate(pairs)]
    found = {limit.measure: found for limit, found in named if found is not None}
    return judge(found, [limit for limit, _ in named])


def _plain(kept: Sequence[Mapping[str, Any]], found: Found) -> list[Pair]:
    return [(engine_limit(each), found.get(each["measure"])) for each in kept]


def _check_as_json(check: Check, measure: str) -> dict[str, Any]:
    found = check.measured
    return {
        "measure": measure,
        "analyte": check.limit.analyte,
        "name": check.limit.name,
        "limit": check.limit.words,
        "found": None if found is None else found.value,
        "to": None if found is None else found.to,
        "n": None if found is None else found.n,
        "outcome": check.outcome,
        "reason": check.reason,
        "settle": check.settle,
    }
