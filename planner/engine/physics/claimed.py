"""What is said of a centrifuge, and what follows from it by arithmetic alone."""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, Literal, get_args

from planner.engine.errors import InputError
from planner.engine.physics import drag, spin
from planner.engine.physics.quantities import (
    MINUTES,
    POWER_W,
    RADIUS_CM,
    RCF_G,
    SPEED_RPM,
    Quantity,
    Values,
)

Drive = Literal["hand", "mains", "battery"]
Rotor = Literal["tube", "capillary", "disc"]
RadiusKind = Literal["r_max", "r_av", "r_min"]
Material = Literal["polymer", "metal"]

USUAL_RADIUS_CM: dict[Rotor, tuple[float, float]] = {
    "tube": (2, 25),
    "capillary": (0.3, 12),
    "disc": (0.3, 12),
}
"""Radii that rotors of benches and hands have, both ends included (common practice, no source)."""

ROTOR_RADIUS_CM = Quantity("rotor radius", "cm", 0, 50, RADIUS_CM.slip)
FORCE_N = Quantity("force", "N", 0, 1_000_000)
_NUMBERS = {
    "speed_rpm": SPEED_RPM,
    "radius_cm": RADIUS_CM,
    "rcf_g": RCF_G,
    "power_w": POWER_W,
    "rotor_radius_cm": ROTOR_RADIUS_CM,
    "minutes": MINUTES,
    "force_n": FORCE_N,
}
_WORDS: dict[str, Any] = {
    "drive": Drive,
    "rotor": Rotor,
    "radius_kind": RadiusKind,
    "material": Material,
}


@dataclass(frozen=True)
class Claim:
    """What is said of a centrifuge; ``None`` or NaN: not said.

    ``power_w`` is the power that drives the rotor, ``radius_cm`` the radius at which
    ``rcf_g`` is meant, ``rotor_radius_cm`` the distance from the axis to the outermost point,
    ``minutes`` the length of a run. ``force_n`` is for claims that give a force in newtons,
    which is no relative centrifugal force.
    """

    speed_rpm: float | None = None
    radius_cm: float | None = None
    rcf_g: float | None = None
    power_w: float | None = None
    drive: Drive | None = None
    rotor: Rotor = "tube"
    radius_kind: RadiusKind | None = None
    rotor_radius_cm: float | None = None
    minutes: float | None = None
    material: Material | None = None
    force_n: float | None = None


@dataclass(frozen=True)
class Figures:
    """What is stated, and what it implies; NaN: neither stated nor implied, or impossible."""

    speed_rpm: float
    radius_cm: float
    rcf_g: float
    implied: tuple[str, ...]
    rotor_radius_cm: float
    power_at_least_w: float
    rim_speed_m_s: float


def refuse_impossible(claim: Claim) -> None:
    """Raise ``InputError`` with one line for each part of ``claim`` that cannot be."""
    problems: list[str] = []
    for field in fields(claim):
        given = getattr(claim, field.name)
        if given is None:
            continue
        if quantity := _NUMBERS.get(field.name):
            try:
                quantity.values(given)
            except InputError as refusal:
                problems += refusal.problems
        elif given not in (words := get_args(_WORDS[field.name])):
            problems.append(f"{field.name}: expected one of {', '.join(words)}, found {given!r}")
    if problems:
        raise InputError("claim", problems)


def figures(claim: Claim) -> Figures:
    """Of speed, radius and force any two give the third; the rotor is at least that large.

    RCF = K r n². The power is that of a bare disc of the rotor's radius (``disc_power_w``), a
    lower bound; the speed of the rim is ω R. From an implied value that cannot exist, or an
    implied radius that no such rotor has, nothing more is worked out.
    """
    stated = {name: known(getattr(claim, name)) for name in _THIRD}
    unknown = [name for name, value in stated.items() if math.isnan(value)]
    implied = tuple(unknown) if len(unknown) == 1 else ()
    for name in implied:
        stated[name] = float(_THIRD[name](**stated))
    rotor_cm = _reach_cm(claim, stated["radius_cm"])
    speed = SPEED_RPM.possible(stated["speed_rpm"])
    return Figures(
        **stated,
        implied=implied,
        rotor_radius_cm=rotor_cm,
        power_at_least_w=float(drag.disc_power_w(rotor_cm / 100, speed)),
        rim_speed_m_s=float(drag.rim_speed_m_s(rotor_cm / 100, speed)),
    )


def known(stated: float | None) -> float:
    """``stated`` as a number; NaN where nothing was said."""
    return math.nan if stated is None else float(stated)


def _reach_cm(claim: Claim, radius_cm: float) -> float:
    """Radius of the rotor: as stated, else at least the radius at which the force acts."""
    if claim.rotor_radius_cm is not None:
        return float(claim.rotor_radius_cm)
    low, high = USUAL_RADIUS_CM[claim.rotor]
    if math.isnan(known(claim.radius_cm)) and not low <= radius_cm <= high:
        return math.nan
    return radius_cm


_THIRD: dict[str, Callable[..., Values]] = {
    "speed_rpm": lambda speed_rpm, radius_cm, rcf_g: spin.speed_rpm(rcf_g, radius_cm),
    "radius_cm": lambda speed_rpm, radius_cm, rcf_g: spin.implied_radius_cm(rcf_g, speed_rpm),
    "rcf_g": lambda speed_rpm, radius_cm, rcf_g: spin.rcf_g(speed_rpm, radius_cm),
}
