"""What a claim about a centrifuge leaves out, and why that matters."""

import math
from collections.abc import Iterator

from planner.engine.physics import spin
from planner.engine.physics.claimed import FORCE_N, USUAL_RADIUS_CM, Claim, Figures, known
from planner.engine.physics.doubts import ASK_FORCE, MEASURE_RADIUS, READ_SPEED, Doubt
from planner.engine.physics.quantities import RADIUS_CM, RCF_G, SPEED_RPM


def newtons(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """A force in newtons is a force on some mass; it settles nothing about the RCF."""
    if math.isnan(force := known(claim.force_n)):
        return
    on_a_gram, on_a_tube = (force / (mass * spin.STANDARD_GRAVITY_M_S2) for mass in (1e-3, 15e-3))
    nothing_else = math.isnan(found.rcf_g)
    yield Doubt(
        "unknown" if nothing_else else "consistent",
        "newton_is_not_rcf",
        f"{FORCE_N.in_words(force)} is a force on a mass that is not stated, no relative "
        f"centrifugal force: on 1 g it would be {RCF_G.in_words(on_a_gram)}, on a filled tube of "
        f"15 g {RCF_G.in_words(on_a_tube)}.",
        (ASK_FORCE,) if nothing_else else (),
    )


def what_is_missing(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """Fewer than two of speed, radius and force: what is lacking, and why it matters."""
    if not math.isnan(found.radius_cm + found.speed_rpm + found.rcf_g):
        return
    if not math.isnan(found.speed_rpm):
        low, high = USUAL_RADIUS_CM[claim.rotor]
        least, most = (float(spin.rcf_g(found.speed_rpm, radius)) for radius in (low, high))
        yield Doubt(
            "unknown",
            "radius_missing",
            f"{SPEED_RPM.in_words(found.speed_rpm)} say nothing of the force without a radius: "
            f"{RCF_G.in_words(least)} at {RADIUS_CM.in_words(low)}, {RCF_G.in_words(most)} at "
            f"{RADIUS_CM.in_words(high)}.",
            (MEASURE_RADIUS,),
        )
    elif not math.isnan(found.radius_cm):
        text = f"{RADIUS_CM.in_words(found.radius_cm)} say nothing of the force without a speed."
        yield Doubt("unknown", "speed_missing", text, (READ_SPEED,))
    elif not math.isnan(found.rcf_g):
        text = f"{RCF_G.in_words(found.rcf_g)} cannot be checked without speed or radius."
        yield Doubt("unknown", "speed_and_radius_missing", text, (READ_SPEED, MEASURE_RADIUS))
    else:
        text = "Neither speed nor radius nor relative centrifugal force is stated."
        yield Doubt("unknown", "nothing_stated", text, (READ_SPEED, MEASURE_RADIUS))
