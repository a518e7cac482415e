"""Where the figures of a claim about a centrifuge agree, and where they contradict each other."""

import math
from collections.abc import Iterator

from planner.engine.physics import spin
from planner.engine.physics.claimed import (
    ROTOR_RADIUS_CM,
    USUAL_RADIUS_CM,
    Claim,
    Figures,
    known,
)
from planner.engine.physics.doubts import (
    ASK_FORCE,
    MEASURE_RADIUS,
    MEASURE_ROTOR,
    READ_SPEED,
    Doubt,
    agreement_limits,
)
from planner.engine.physics.quantities import RADIUS_CM, RCF_G, SPEED_RPM

_SLIPS = {
    "the diameter was given: halve it": 0.5,
    "it was given in mm: divide by 10": 0.1,
    "it was given in m: multiply by 100": 100.0,
    "it was given in inches: multiply by 2.54": 2.54,
}
_CONFIRM = {"speed_rpm": READ_SPEED, "radius_cm": MEASURE_RADIUS, "rcf_g": READ_SPEED}


def two_imply_the_third(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """The third figure from the other two, and whether it can exist."""
    for name in found.implied:
        speed, radius, force = (
            quantity.in_words(value)
            for quantity, value in (
                (SPEED_RPM, found.speed_rpm),
                (RADIUS_CM, found.radius_cm),
                (RCF_G, found.rcf_g),
            )
        )
        text = {
            "rcf_g": f"{speed} at {radius} give {force}",
            "radius_cm": f"{speed} give {force} at a radius of {radius}",
            "speed_rpm": f"{force} at {radius} take {speed}",
        }[name]
        yield Doubt("consistent", f"implied_{name}", f"{text}.", (_CONFIRM[name],))
    for name, quantity in (("speed_rpm", SPEED_RPM), ("rcf_g", RCF_G)):
        if name in found.implied and math.isnan(quantity.possible(getattr(found, name))):
            yield Doubt(
                "inconsistent",
                f"implied_{name}_impossible",
                f"No centrifuge reaches more than {quantity.in_words(quantity.highest)}.",
                (READ_SPEED, MEASURE_RADIUS),
            )


def three_agree(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """Three stated figures against RCF = K r n², within ``agreement_limits``."""
    if found.implied or math.isnan(found.speed_rpm + found.radius_cm + found.rcf_g):
        return
    computed = float(spin.rcf_g(found.speed_rpm, found.radius_cm))
    low, high = agreement_limits()
    agree = low <= found.rcf_g / computed <= high
    text = (
        f"{SPEED_RPM.in_words(found.speed_rpm)} at {RADIUS_CM.in_words(found.radius_cm)} give "
        f"{RCF_G.in_words(computed)}; stated are {RCF_G.in_words(found.rcf_g)}, "
        f"{'within' if agree else 'not within'} −{100 * (1 - low):.1f} to +{100 * (high - 1):.1f} %"
    )
    if agree:
        yield Doubt("consistent", "figures_agree", f"{text}.")
        return
    implied = float(spin.implied_radius_cm(found.rcf_g, found.speed_rpm))
    text += f". The force would need a radius of {RADIUS_CM.in_words(implied)}"
    yield Doubt(
        "inconsistent",
        "figures_disagree",
        f"{text}{_slip(found, implied)}.",
        (READ_SPEED, MEASURE_RADIUS, ASK_FORCE),
    )


def _slip(found: Figures, implied_cm: float) -> str:
    """The usual slip that would explain three figures which disagree, or nothing."""
    low, high = agreement_limits()
    exchanged = float(spin.rcf_g(found.rcf_g, found.radius_cm))
    if low <= found.speed_rpm / exchanged <= high:
        return "; speed and force agree if they are exchanged"
    for slip, factor in _SLIPS.items():
        if low <= implied_cm / (factor * found.radius_cm) <= high:
            return f"; the radius agrees if {slip}"
    return ""


def radius_is_usual(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """A radius, stated or implied, against the radii that such rotors have."""
    low, high = USUAL_RADIUS_CM[claim.rotor]
    if math.isnan(found.radius_cm) or low <= found.radius_cm <= high:
        return
    how = "implied" if "radius_cm" in found.implied else "stated"
    size = "small" if found.radius_cm < low else "large"
    yield Doubt(
        "inconsistent",
        f"{how}_radius_too_{size}",
        f"The {how} radius of {RADIUS_CM.in_words(found.radius_cm)} is too {size}: "
        f"{claim.rotor} rotors have {low:g} to {high:g} cm.",
        (MEASURE_RADIUS, READ_SPEED),
    )


def radius_is_inside_the_rotor(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """The force cannot act farther out than the rotor reaches."""
    rotor = known(claim.rotor_radius_cm)
    # An implied radius is only as good as the stated speed; a stated one is taken at its word.
    slack = agreement_limits()[0] if "radius_cm" in found.implied else 1.0
    if found.radius_cm * slack > rotor:
        yield Doubt(
            "inconsistent",
            "radius_outside_rotor",
            f"The force acts at {RADIUS_CM.in_words(found.radius_cm)}, but the rotor ends at "
            f"{ROTOR_RADIUS_CM.in_words(rotor)}.",
            (MEASURE_RADIUS, MEASURE_ROTOR),
        )
