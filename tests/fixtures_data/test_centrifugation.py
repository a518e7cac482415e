"""Relative centrifugal force: the bands of the sources, and who can reach them."""

import math
from collections import defaultdict

import pytest
from scipy import constants

from tests.fixtures_data.tables import catalogue, value

PUBLISHED, DEFAULT, COMMON = "published", "planning_default", "common_practice"
# method: lowest and greatest force in g at r_max, least minutes, and how far the lowest force
# is backed by its source. One force in a source becomes -10 to +20 % of it, a planning default.
BANDS = {
    # CLSI H07 (from memory): 10 000-15 000 g, 5 min
    "haematocrit-spun": (10_000, 15_000, 5, "clsi-h07", PUBLISHED),
    # CLSI GP44 from 1000 g; a biobank's table 2000 g for 10 min
    "creatinine-semi-auto": (1000, 2000, 10, "clsi-gp44", PUBLISHED),
    "electrolytes-ise": (1000, 2000, 10, "clsi-gp44", PUBLISHED),
    # WHO/DIL/LAB/99.1: plasma up to 3000 g, 10-15 min
    "glucose-semi-auto": (1000, 3000, 10, "who-dil-lab-99-1", DEFAULT),
    # CLSI H21: 1500 g for 15 min, or 2000
    "prothrombin-coagulometer": (1500, 2000, 15, "clsi-h21", PUBLISHED),
    "prothrombin-manual": (1500, 2000, 15, "clsi-h21", PUBLISHED),
    # European urinalysis guidelines 2000: 400 g, 5 min
    "urine-sediment": (360, 480, 5, "european-urinalysis-2000", DEFAULT),
    "urine-sediment-hand": (360, 480, 5, "european-urinalysis-2000", DEFAULT),
    # Ratnam and March 1986: 3000 g, 15 min
    "afb-naoh-fluorescence": (2700, 3600, 15, "ratnam-march-1986", DEFAULT),
    # Trans R Soc Trop Med Hyg 1999;93:405: 4000 g, 15 min
    "afb-concentrated": (3600, 4800, 15, "sputum-4000g-1999", DEFAULT),
    # Teaching page: bleach, 3000 g, 15 min
    "afb-bleach": (2700, 3600, 15, "sputum-bleach", DEFAULT),
    # Parasitology bench aids: 500 g, 10 min
    "stool-concentration": (450, 600, 10, "who-parasitology-bench-aids", DEFAULT),
    # Fluorescent buffy coat: 10 000-12 000, unverified
    "malaria-fluorescent-capillary": (10_000, 12_000, 5, "planning-defaults", DEFAULT),
    # WHO TRS 984 (from memory): 8000-12 000 g, 5 min; mini column 1000 g, unverified
    "trypanosomiasis-capillary": (8000, 12_000, 5, "who-trs-984", PUBLISHED),
    "trypanosomiasis-column": (900, 1200, 10, "who-trs-984", DEFAULT),
    # Unverified: Knott 300-500 g, haematobium 500 g, fluid 1000 g, plasma 1000-2000 g
    "filaria-knott": (300, 500, 5, "who-parasitology-bench-aids", DEFAULT),
    "haematobium-sediment": (450, 600, 5, "planning-defaults", DEFAULT),
    "csf-microscopy": (900, 1200, 10, "planning-defaults", DEFAULT),
    "hiv-viral-load-plasma": (1000, 2000, 15, "planning-defaults", DEFAULT),
}


def asked() -> dict[tuple[str, str], dict]:
    """(method, position) -> attribute -> row, of every need for a centrifuge."""
    needs = {
        (row["method"], row["position"])
        for row in catalogue("needs")
        if row["device_class"] == "centrifuge"
    }
    found: dict[tuple[str, str], dict] = defaultdict(dict)
    for row in catalogue("requirements"):
        if (row["method"], row["position"]) in needs:
            found[row["method"], row["position"]][row["attribute"]] = row
    return found


def of_method(method: str) -> dict:
    [found] = [rows for (code, _), rows in asked().items() if code == method]
    return found


def specs(model: str) -> dict:
    return {
        row["attribute"]: value(row)
        for row in catalogue("specifications")
        if (row["device_model"], row["device_class"]) == (model, "centrifuge")
    }


def reaches(model: str, method: str) -> bool:
    """Whether the model can be set to some force of the method's band."""
    low, high, *_ = BANDS[method]
    spec = specs(model)
    return spec["rcf_max_g"] >= low and spec["rcf_settable_min_g"] <= high


@pytest.mark.parametrize("method", BANDS)
def test_a_method_asks_for_the_band_and_the_time_of_its_source(method):
    low, high, minutes, source, kind = BANDS[method]
    rows = of_method(method)

    assert [
        (rows[name]["comparator"], value(rows[name]))
        for name in ("rcf_max_g", "rcf_settable_min_g", "continuous_run_min")
    ] == [("min", low), ("max", high), ("min", minutes)]
    assert (rows["rcf_max_g"]["source"], rows["rcf_max_g"]["source_kind"]) == (source, kind)


def test_immunohaematology_spins_for_seconds_at_900_to_1000_g():
    """Common practice of transfusion laboratories, no source: 15-30 s."""
    rows = of_method("blood-group-tube")

    assert {name: (row["comparator"], value(row)) for name, row in rows.items()} == {
        "rcf_max_g": ("min", 900),
        "rcf_settable_min_g": ("max", 1000),
        "shortest_run_s": ("max", 30),
        "tube_ml": ("has", [5]),
        "motor_driven": ("is", True),
        "power_w": ("max", 500),
    }
    assert {rows[name]["source_kind"] for name in ("rcf_max_g", "shortest_run_s")} == {COMMON}


def test_every_band_of_force_has_its_lower_end_first_and_says_both_ends():
    bands = {
        need: (value(rows["rcf_max_g"]), value(rows["rcf_settable_min_g"]))
        for need, rows in asked().items()
        if {"rcf_max_g", "rcf_settable_min_g"} & set(rows)
    }

    assert all(low < high for low, high in bands.values())
    assert len(bands) > 40


def test_the_hand_spun_haematocrit_asks_for_the_corrected_card_and_ten_minutes():
    """AJTMH 2011;85(2), doi 10.4269/ajtmh.2011.10-0399: no force is known, PCV 1.14 too high."""
    assert {
        name: (row["comparator"], value(row))
        for name, row in of_method("haematocrit-hand-spun").items()
    } == {
        "tube_ml": ("has", [0.075]),
        "continuous_run_min": ("min", 10),
        "corrected_reader_card": ("is", True),
    }


def test_a_microhaematocrit_head_of_one_speed_cannot_be_set_to_400_g():
    assert reaches("centrifuge-haematocrit-24", "haematocrit-spun")
    assert not reaches("centrifuge-haematocrit-24", "urine-sediment")


@pytest.mark.parametrize(
    ("model", "method", "possible"),
    [
        ("centrifuge-haematocrit-24", "trypanosomiasis-capillary", True),
        ("centrifuge-haematocrit-15000", "trypanosomiasis-capillary", False),
        ("centrifuge-hand-cranked-4", "urine-sediment-hand", True),
        ("centrifuge-hand-cranked-4", "creatinine-semi-auto", False),
        ("centrifuge-one-speed-12", "urine-sediment", False),
        ("centrifuge-one-speed-12", "creatinine-semi-auto", True),
        ("centrifuge-battery-6", "prothrombin-manual", False),
        ("centrifuge-sealed-12", "afb-naoh-fluorescence", True),
        ("centrifuge-sealed-12", "afb-concentrated", False),
        ("centrifuge-sealed-16", "afb-concentrated", True),
    ],
)
def test_which_centrifuge_reaches_which_band(model, method, possible):
    assert reaches(model, method) is possible


def test_a_stated_force_and_radius_imply_a_speed_that_a_bench_centrifuge_turns_at():
    """RCF = (2 pi n / 60)^2 r / g0 (SI Brochure); 500-16 000 a minute is common practice."""
    for model in {row["device_model"] for row in catalogue("specifications")}:
        spec = specs(model)
        if {"rcf_max_g", "r_max_cm"} <= set(spec):
            force, radius_m = spec["rcf_max_g"], spec["r_max_cm"] / 100
            per_min = 60 / (2 * math.pi) * math.sqrt(force * constants.g / radius_m)
            assert 500 < per_min < 16_000, model


def test_no_force_is_stated_without_the_radius_it_holds_at():
    assert [
        row["device_model"]
        for row in catalogue("specifications")
        if row["attribute"] == "rcf_max_g" and "r_max_cm" not in specs(row["device_model"])
    ] == []


def test_sputum_is_spun_only_in_sealed_cups_under_a_locked_lid():
    """WHO Laboratory biosafety manual, 4th edition; IEC 61010-2-020 (from memory)."""
    for method in ("afb-concentrated", "afb-bleach", "afb-naoh-fluorescence"):
        rows = of_method(method)
        assert [value(rows[name]) for name in ("sealed_cups", "lid_interlock")] == [True, True]


def test_serum_for_chemistry_is_not_spun_at_a_fixed_angle():
    """A biobank's table: no fixed-angle rotor."""
    assert value(of_method("creatinine-semi-auto")["swing_out"]) is True
    assert specs("centrifuge-fixed-angle-6")["swing_out"] is False


def test_no_method_takes_a_hand_driven_centrifuge_by_the_way():
    """What is cranked or spun by hand has methods of its own, with a tachometer beside it."""
    by_hand = {method for (method, _), rows in asked().items() if "motor_driven" not in rows}
    measured = {row["method"] for row in catalogue("needs") if row["device_class"] == "tachometer"}

    assert by_hand == measured
    assert by_hand == {
        "haematocrit-hand-spun",
        "urine-sediment-hand",
        "haematobium-sediment-hand",
    }
