"""Published and common claims about centrifuges: the impossible ones must be caught.

Each row says where its figure comes from and how far it was seen: seen (the text itself),
from memory, common practice, computed.
"""

import numpy as np
import pint
import pytest

from planner.engine.physics import drag
from planner.engine.physics.claims import Claim, bands, claim_check

CLAIMS = [
    # claim, verdict, first telling code, source
    (
        Claim(speed_rpm=125_000, rcf_g=30_000, drive="hand", rotor="disc"),
        "inconsistent",
        "implied_radius_too_small",
        "hand-spun paper disc (common practice, no source)",
    ),
    (
        Claim(speed_rpm=1200, rcf_g=15_290, rotor="capillary"),
        "inconsistent",
        "implied_radius_too_large",
        "fixed-speed haematocrit head, speed misprinted (seen)",
    ),
    (
        Claim(speed_rpm=12_000, rcf_g=15_290, rotor="capillary", drive="mains"),
        "consistent",
        "implied_radius_cm",
        "the same with the speed put right (computed)",
    ),
    (
        Claim(speed_rpm=4000, minutes=15),
        "unknown",
        "radius_missing",
        "plasma for coagulation, '4000 rpm 15 min' without a radius (Haripersadh 2022, seen)",
    ),
    (
        Claim(speed_rpm=1750, force_n=50, drive="hand"),
        "unknown",
        "newton_is_not_rcf",
        "'over 1750 rpm and over 50 N' (Sule et al. 2019, Instruments 3:30, seen)",
    ),
    (
        Claim(speed_rpm=10_000, radius_cm=5, rcf_g=5590),
        "consistent",
        "figures_agree",
        "worked example with 1.118e-5 (teaching text, seen)",
    ),
    (
        Claim(speed_rpm=4000, radius_cm=16, rcf_g=2862),
        "consistent",
        "figures_agree",
        "rotor table (from memory)",
    ),
    (
        Claim(speed_rpm=3000, radius_cm=15, rcf_g=1509 * 1.12 / 1.118),
        "consistent",
        "figures_agree",
        "rotor table with the coarse constant 1.12e-5 (from memory)",
    ),
    (
        Claim(speed_rpm=3000, radius_cm=15, rcf_g=3000),
        "inconsistent",
        "figures_disagree",
        "speed copied into the field of the force (common practice, no source)",
    ),
    (
        Claim(speed_rpm=20_000, radius_cm=10, drive="hand", rotor="disc"),
        "implausible_by_hand",
        "beyond_a_person",
        "182 W laminar, 478 W turbulent (computed from Schlichting's coefficients)",
    ),
    (
        Claim(speed_rpm=10_000, radius_cm=10, drive="hand", rotor="disc"),
        "unknown",
        "questionable_by_hand",
        "32 W laminar, 69 W turbulent (computed from Schlichting's coefficients)",
    ),
    (
        Claim(speed_rpm=10_000, radius_cm=10, drive="hand", rotor="disc", minutes=5),
        "implausible_by_hand",
        "beyond_the_arms_for_so_long",
        "arms 30-50 W for 5-15 min (planning range, unverified)",
    ),
    (
        Claim(speed_rpm=12_000, radius_cm=5, drive="hand", rotor="disc", minutes=5),
        "consistent",
        "within_a_hand",
        "3.2 W laminar, 4.7 W turbulent (computed from Schlichting's coefficients)",
    ),
    (
        Claim(speed_rpm=125_000, radius_cm=0.5, drive="hand", rotor="disc"),
        "consistent",
        "within_a_hand",
        "0.1 W: the tiny disc is possible, its 87 363 g at the rim too (computed)",
    ),
]


@pytest.mark.parametrize(("claim", "verdict", "code", "source"), CLAIMS)
def test_a_claim_is_judged_as_its_figures_demand(claim, verdict, code, source):
    report = claim_check(claim)

    assert report.verdict == verdict, source
    assert code in [reason.code for reason in report.reasons], source


@pytest.mark.parametrize(
    ("claim", "name", "expected", "tolerance", "source"),
    [
        (CLAIMS[0][0], "radius_cm", 0.1717, 1e-3, "1.72 mm (common practice, no source)"),
        (CLAIMS[1][0], "radius_cm", 949.5, 1e-3, "computed"),
        (CLAIMS[2][0], "radius_cm", 9.495, 1e-3, "computed"),
        (Claim(speed_rpm=1750, radius_cm=10), "rcf_g", 342, 2e-3, "computed"),
        (Claim(speed_rpm=1750, radius_cm=15), "rcf_g", 514, 2e-3, "computed"),
        (Claim(speed_rpm=125_000, radius_cm=0.5, rotor="disc"), "rcf_g", 87_363, 1e-4, "computed"),
        (Claim(rcf_g=1500, radius_cm=16), "speed_rpm", 2895.5, 1e-4, "computed"),
        (Claim(rcf_g=12_000, radius_cm=9), "speed_rpm", 10_920, 1e-4, "computed"),
    ],
)
def test_two_figures_imply_the_third(claim, name, expected, tolerance, source):
    report = claim_check(claim)

    assert report.implied == (name,)
    assert getattr(report, name) == pytest.approx(expected, rel=tolerance), source


@pytest.mark.parametrize(
    ("radius_cm", "speed", "laminar_w", "turbulent_w"),
    [(5, 5000, 0.36, 0.41), (5, 12_000, 3.2, 4.7), (5, 20_000, 11.38, 19.69), (10, 5000, 5.7, 9.8),
     (10, 10_000, 32, 69), (10, 20_000, 182, 478), (15, 4000, 16, 34)],
)  # fmt: skip
def test_the_least_power_lies_between_a_laminar_and_a_turbulent_disc(
    radius_cm, speed, laminar_w, turbulent_w
):
    """Computed from Schlichting's coefficients with air at 20 °C (from memory)."""
    report = claim_check(Claim(speed_rpm=speed, radius_cm=radius_cm, rotor="tube"))

    assert laminar_w * 0.97 <= report.power_at_least_w <= turbulent_w * 1.03


def test_the_power_agrees_with_a_library_of_units_below_the_transition():
    """Reference: pint, from T = 0.616 π ρ R⁴ √(ν Ω³) (transport-phenomena problem, seen)."""
    units = pint.UnitRegistry()
    omega = 12_000 * 2 * np.pi / 60 / units.s
    density, viscosity = 1.204 * units.kg / units.m**3, 1.516e-5 * units.m**2 / units.s
    torque = 0.616 * np.pi * density * (5 * units.cm) ** 4 * (viscosity * omega**3) ** 0.5
    power_w = (torque * omega).to("watt").magnitude

    report = claim_check(Claim(speed_rpm=12_000, radius_cm=5, rotor="disc"))

    assert report.power_at_least_w == pytest.approx(power_w, rel=2e-3)


def test_the_rim_speed_agrees_with_a_library_of_units():
    """Reference: pint, one circumference for each turn."""
    units = pint.UnitRegistry()
    rim = (2 * np.pi * 9.5 * units.cm * 12_000 / units.minute).to("m/s").magnitude

    report = claim_check(Claim(speed_rpm=12_000, radius_cm=9.5, rotor="capillary"))

    assert report.rim_speed_m_s == pytest.approx(rim, rel=1e-12)


def test_a_paper_rotor_that_runs_faster_than_100_m_s_may_burst():
    """Polymer and paper burst above about 100 m/s at the rim (planning default, unverified)."""
    paper = Claim(speed_rpm=20_000, radius_cm=5, rotor="disc", material="polymer")

    assert claim_check(paper).cautions[0] == (
        "This rotor may burst: its rim runs at 105 m/s, above 100 m/s."
    )


PROCEDURES = [
    # name, least g, greatest g; source
    ("microhaematocrit", 10_000, 15_000),  # CLSI H07 (from memory)
    ("platelet-poor plasma", 1500, 2000),  # clinical laboratory guidance 2008 (seen)
    ("urine sediment", 400, 400 * 1.2),  # European Urinalysis Guidelines 2000 (seen), +20 %
]


@pytest.mark.parametrize(
    ("speed", "radius_cm", "expected", "source"),
    [
        (12_000, 9, {"microhaematocrit"}, "10 000-13 000 rpm at 9 cm (seen)"),
        (2896, 16, {"platelet-poor plasma"}, "1500 g at 16 cm (computed)"),
        (1500, 16, {"urine sediment"}, "400 g at 16 cm: 1495 rpm (computed)"),
        (3500, 16, set(), "2192 g: too much for plasma, too little for a haematocrit (computed)"),
    ],
)
def test_a_speed_at_a_radius_serves_the_procedures_whose_band_it_meets(
    speed, radius_cm, expected, source
):
    inside = bands(speed, radius_cm, PROCEDURES)

    assert {name for name, within in inside.items() if within == 1} == expected, source


def test_a_person_could_turn_no_larger_disc_than_the_power_allows():
    """The laminar power inverted: 11.38 W turn 5 cm at 20 000 rpm (computed)."""
    assert drag.largest_disc_m(11.38, 20_000) == pytest.approx(0.05, rel=1e-3)
