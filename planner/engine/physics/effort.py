"""Whether what drives a centrifuge could turn it as claimed, and when its rim may burst."""

import math
from collections.abc import Iterator

from planner.engine.physics import drag
from planner.engine.physics.claimed import USUAL_RADIUS_CM, Claim, Figures, known
from planner.engine.physics.doubts import (
    LOG_SPEED,
    MEASURE_POWER,
    MEASURE_ROTOR,
    READ_SPEED,
    Doubt,
    Verdict,
)
from planner.engine.physics.quantities import MINUTES, POWER_W, RADIUS_CM, SPEED_RPM

_OPEN_TUBES, _TUBE_DIAMETER_M, _INNER_SHARE = 4, 0.016, 0.375
"""Four tubes of 16 mm that begin at 6 of 16 cm: the head of a small swing-out centrifuge."""


def power_suffices(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """The stated power against what air alone takes from a bare disc of that size."""
    stated = known(claim.power_w)
    if found.power_at_least_w > stated:
        yield Doubt(
            "inconsistent",
            "power_too_small",
            f"Air alone takes at least {POWER_W.in_words(found.power_at_least_w, 2)} from such a "
            f"rotor; {POWER_W.in_words(stated)} cannot drive it.",
            (MEASURE_POWER, READ_SPEED, MEASURE_ROTOR),
        )


def power_bounds_the_rotor(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """Without a radius, speed and power still say how large the rotor can be at most."""
    by_hand = claim.power_w is None and claim.drive == "hand"
    power = drag.HAND_LIMIT_W if by_hand else known(claim.power_w)
    if not math.isnan(found.rotor_radius_cm):
        return
    largest = 100 * float(drag.largest_disc_m(power, SPEED_RPM.possible(found.speed_rpm)))
    low, high = USUAL_RADIUS_CM[claim.rotor]
    if largest < high:
        too_small: Verdict = "implausible_by_hand" if by_hand else "inconsistent"
        yield Doubt(
            too_small if largest < low else "consistent",
            "power_bounds_the_rotor",
            f"{POWER_W.in_words(power)} turn a disc of at most {RADIUS_CM.in_words(largest, 2)} at "
            f"{SPEED_RPM.in_words(found.speed_rpm)}; {claim.rotor} rotors have {low:g} to "
            f"{high:g} cm.",
            (MEASURE_ROTOR,),
        )


def hand_suffices(claim: Claim, found: Figures) -> Iterator[Doubt]:
    """What a person can give, at all and for the stated minutes, against what the rotor takes."""
    needed = max_known(found.power_at_least_w, known(claim.power_w))
    if claim.drive != "hand" or math.isnan(needed):
        return
    minutes = known(claim.minutes)
    sustained = float(drag.sustained_hand_power_w(minutes))
    takes = f"Turning it takes at least {POWER_W.in_words(needed, 2)}"
    plausibility = drag.hand_drive(needed)
    if plausibility == "implausible":
        text = f"{takes}; nobody gives more than {POWER_W.in_words(drag.HAND_LIMIT_W)} for long."
        yield Doubt("implausible_by_hand", "beyond_a_person", text, (LOG_SPEED, MEASURE_ROTOR))
    elif needed > sustained:
        text = (
            f"{takes}; arms can be relied on for {POWER_W.in_words(sustained)} over "
            f"{MINUTES.in_words(minutes)}."
        )
        yield Doubt("implausible_by_hand", "beyond_the_arms_for_so_long", text, (LOG_SPEED,))
    elif plausibility == "questionable":
        text = f"{takes}, which a person may give for a minute or two."
        yield Doubt("unknown", "questionable_by_hand", text, (LOG_SPEED,))
    else:
        yield Doubt("consistent", "within_a_hand", f"{takes}, which a hand can give.")


def cautions(claim: Claim, found: Figures) -> Iterator[str]:
    """What to mind even if every figure is true."""
    if found.rim_speed_m_s > drag.POLYMER_RIM_LIMIT_M_S and claim.material != "metal":
        which = "This" if claim.material == "polymer" else "If it is paper or plastic, this"
        yield (
            f"{which} rotor may burst: its rim runs at {found.rim_speed_m_s:.0f} m/s, above "
            f"{drag.POLYMER_RIM_LIMIT_M_S:.0f} m/s."
        )
    if claim.drive == "hand":
        yield "A hand does not hold a speed, and the force goes with its square: log every run."
    upper = _open_tubes_w(claim, found)
    if claim.drive == "hand" and upper > drag.HAND_COMFORT_W:
        yield (
            f"Four open tubes of 16 mm would take up to {POWER_W.in_words(upper, 2)}: without a "
            "shroud expect less speed."
        )
    yield from _which_radius(claim)


def _open_tubes_w(claim: Claim, found: Figures) -> float:
    if claim.rotor != "tube":
        return math.nan
    outer_m = found.rotor_radius_cm / 100
    return float(
        drag.open_tubes_power_w(
            _OPEN_TUBES,
            _TUBE_DIAMETER_M,
            _INNER_SHARE * outer_m,
            outer_m,
            SPEED_RPM.possible(found.speed_rpm),
        )
    )


def _which_radius(claim: Claim) -> Iterator[str]:
    if claim.radius_kind in ("r_av", "r_min"):
        yield (
            f"The figures are for {claim.radius_kind}; methods ask for the force at r_max. "
            "Do not compare the two."
        )
    elif claim.radius_kind is None and claim.radius_cm is not None:
        yield "Which radius is meant (r_max, r_av or r_min) is not stated; r_max is the largest."


def max_known(*values: float) -> float:
    """The greatest of the values that are known; NaN if none is."""
    stated = [value for value in values if not math.isnan(value)]
    return max(stated, default=math.nan)
