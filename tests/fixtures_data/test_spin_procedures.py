"""Forces and times of procedures against their sources, and the methods that follow them.

Where a value was quoted from memory or is a default nobody published, the row says so.
"""

from collections import defaultdict

import pytest

from planner.engine.conditions import parse_condition
from planner.engine.matching import Verdict, check
from tests.fixtures_data.tables import catalogue, value

PUBLISHED, DEFAULT, COMMON = "published", "planning_default", "common_practice"
# code: force in g at r_max, minutes, whether equal g-minutes will do, source, kind.
PROCEDURES = {
    # CLSI H07 (from memory); a teaching page: 12 000-15 000 g, 3-5 min (seen)
    "p01-microhaematocrit": (10_000, 15_000, 3, 5, False, "clsi-h07", PUBLISHED),
    # CLSI GP44: 1000-1300 g (from memory); a biobank: 2000 g for 10 min (seen)
    "p02-serum": (1000, 2000, 10, 10, True, "clsi-gp44", DEFAULT),
    # WHO/DIL/LAB/99.1: 2000-3000 g, 10-15 min (from memory)
    "p03-plasma": (1000, 3000, 10, 15, True, "who-dil-lab-99-1", DEFAULT),
    # Clinical laboratory guidance 2008 (seen), CLSI H21 (from memory)
    "p04-platelet-poor-plasma": (1500, 2000, 10, 15, False, "clsi-h21", PUBLISHED),
    # unverified
    "p05-platelet-rich-plasma": (150, 250, 5, 15, False, "planning-defaults", DEFAULT),
    # European urinalysis guidelines 2000: 400 g (seen), 5 min (from memory)
    "p06-urine-sediment": (400, 400, 5, 5, False, "european-urinalysis-2000", PUBLISHED),
    # J Clin Microbiol 1986;23:582 (seen)
    "p07-sputum-nalc": (3000, 3000, 15, 15, True, "ratnam-march-1986", PUBLISHED),
    # Trans R Soc Trop Med Hyg 1999;93:405 (seen)
    "p08-sputum-smear": (4000, 4000, 15, 15, False, "sputum-4000g-1999", PUBLISHED),
    # a teaching page (seen)
    "p09-sputum-bleach": (3000, 3000, 15, 15, False, "sputum-bleach", PUBLISHED),
    # public-health parasitology bench aids: 500 g, 5-10 min (seen)
    "p10-stool-concentration": (500, 500, 5, 10, False, "who-parasitology-bench-aids", PUBLISHED),
    # 12 000 a minute for 5 min, from memory: no radius, so the force is a default
    "p11-fluorescent-capillary": (10_000, 12_000, 5, 5, False, "planning-defaults", DEFAULT),
    # WHO TRS 984, 2013 (from memory)
    "p12-trypanosome-capillary": (8000, 12_000, 5, 5, False, "who-trs-984", PUBLISHED),
    # WHO 2013, unverified
    "p13-anion-column": (1000, 1000, 10, 10, False, "who-trs-984", DEFAULT),
    # WHO bench aids, unverified
    "p14-knott": (300, 500, 5, 5, False, "who-parasitology-bench-aids", DEFAULT),
    # unverified
    "p15-haematobium": (500, 500, 5, 5, False, "planning-defaults", DEFAULT),
    "p16-csf": (1000, 1000, 10, 10, False, "planning-defaults", DEFAULT),
    # practice of blood banks, 15-30 s, no source
    "p17-immunohaematology": (900, 1000, 0.25, 0.5, False, "common-practice", COMMON),
    # unverified
    "p18-plasma-molecular": (1000, 2000, 15, 20, False, "planning-defaults", DEFAULT),
    # AJTMH 2011;85(2), doi 10.4269/ajtmh.2011.10-0399 (seen): the force is not known
    "p19-hand-spun-haematocrit": (
        None, None, 10, 10, False, "ajtmh-2011-hand-spinner", PUBLISHED,
    ),
}  # fmt: skip
# What is asked of a device where the source gives one force; a default of this catalogue.
LOWEST_SHARE, GREATEST_SHARE = 0.9, 1.2


def number(text: str) -> float | None:
    return float(text) if text else None


def spinning_steps() -> list[dict[str, str]]:
    return [row for row in catalogue("method_steps") if row["kind"] == "spin"]


def asked(step: dict[str, str]) -> dict[str, dict[str, str]]:
    """What the need of the step asks of the centrifuge, by attribute."""
    return {
        row["attribute"]: row
        for row in catalogue("requirements")
        if (row["method"], row["position"]) == (step["method"], step["need"])
    }


def accepted(code: str) -> tuple[float, float] | None:
    """The band of force that a device must reach."""
    low, high, *_ = PROCEDURES[code]
    if low is None or high is None:
        return None
    return (low * LOWEST_SHARE, high * GREATEST_SHARE) if low == high else (low, high)


def test_every_procedure_asks_for_the_force_and_the_time_of_its_source():
    assert {
        row["code"]: (
            number(row["rcf_g_low"]),
            number(row["rcf_g_high"]),
            float(row["minutes_low"]),
            float(row["minutes_high"]),
            row["gmin_scaling"] == "within_band",
            row["source"],
            row["source_kind"],
        )
        for row in catalogue("spin_procedures")
    } == PROCEDURES


def test_every_procedure_but_that_without_a_test_is_followed_by_a_method():
    followed = {row["spin"] for row in spinning_steps()}

    assert PROCEDURES.keys() - followed == {"p05-platelet-rich-plasma"}


def test_every_method_with_a_centrifuge_spins_and_no_other():
    with_centrifuge = {
        (row["method"], row["position"])
        for row in catalogue("needs")
        if row["device_class"] == "centrifuge"
    }

    assert {(row["method"], row["need"]) for row in spinning_steps()} == with_centrifuge


@pytest.mark.parametrize("step", spinning_steps(), ids=lambda row: row["method"])
def test_a_device_is_asked_for_the_band_of_the_procedure_that_the_method_follows(step):
    rows = asked(step)
    band = accepted(step["spin"])
    if band is None:
        assert not {"rcf_max_g", "rcf_settable_min_g"} & rows.keys()
        return

    assert (value(rows["rcf_max_g"]), value(rows["rcf_settable_min_g"])) == pytest.approx(band)


@pytest.mark.parametrize("step", spinning_steps(), ids=lambda row: row["method"])
def test_a_device_is_asked_for_a_time_of_the_procedure_and_the_step_takes_it(step):
    _, _, shortest, longest, *_ = PROCEDURES[step["spin"]]
    rows = asked(step)
    if "continuous_run_min" in rows:
        minutes = value(rows["continuous_run_min"])
    else:
        minutes = value(rows["shortest_run_s"]) / 60

    assert shortest <= minutes <= longest
    assert float(step["minutes"]) == minutes


def test_packed_cells_poor_plasma_and_urine_are_never_spun_longer_at_less_force():
    """PCV is an equilibrium; 3500 g x 7 min shortened APTT (Clin Lab 2022,
    10.7754/Clin.Lab.2022.220205); 1358 g counts more than 400 g (Bunjevac 2018)."""
    scaled = {row["code"] for row in catalogue("spin_procedures") if row["gmin_scaling"] != "none"}

    assert scaled == {"p02-serum", "p03-plasma", "p07-sputum-nalc"}


def test_a_force_and_nothing_else_is_stated_at_a_radius():
    radii = defaultdict(set)
    for row in catalogue("attributes"):
        radii[row["ucum"] == "[g]"].add(row["radius"])

    assert radii == {True: {"r_max"}, False: {""}}
    assert {row["radius"] for row in catalogue("spin_procedures")} == {"r_max"}


def test_a_force_at_one_radius_says_nothing_of_a_force_at_another():
    """A model states 3000 g at the tip; a method that asks for 2000 g at r_av is not answered."""
    stated = {"rcf_max_g": 3000.0}
    condition = parse_condition({"min": 2000})

    at_the_tip = check("rcf_max_g", condition, stated.get("rcf_max_g"))
    in_the_middle = check("rcf_max_av_g", condition, stated.get("rcf_max_av_g"))

    assert (at_the_tip.verdict, in_the_middle.verdict) == (Verdict.MET, Verdict.UNKNOWN)
