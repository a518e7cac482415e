"""Device models: prices, evidence and cautions."""

import re

import pytest

from tests.fixtures_data.tables import catalogue

# Planning ranges of prices in US dollars of the 2020s, one for each class of device; none is
# published. A model is held to the range that fits what it is.
PRICES = {
    "microscope": (400, 1500), "fluorescence-illumination": (500, 4000),
    "phone-microscope": (1, 500), "centrifuge": (500, 2500), "pcv-reader": (10, 100),
    "counting-chamber": (10, 100), "esr-stand": (10, 100), "haemoglobin-photometer": (150, 600),
    "haemoglobin-colour-scale": (10, 100), "photometer": (300, 1500),
    "chemistry-analyser": (1200, 4000), "dry-chemistry-analyser": (1000, 6000),
    "electrolyte-analyser": (1500, 5000), "cartridge-blood-analyser": (1000, 6000),
    "haematology-analyser": (4000, 12_000), "blood-meter": (10, 60),
    "urine-strip-reader": (200, 900), "immunoassay-reader": (800, 3000),
    "coagulometer": (500, 3000), "inr-meter": (500, 3000), "naat-platform": (3000, 18_000),
    "isothermal-block": (3000, 15_000), "cd4-enumerator": (5000, 10_000),
    "microplate-reader": (3000, 9000), "thermal-block": (150, 700), "incubator": (300, 1500),
    "autoclave": (200, 2500), "laboratory-refrigerator": (600, 4000), "rotator": (150, 600),
    "micropipette": (50, 250), "safety-cabinet": (500, 12_000), "balance": (100, 500),
    "tachometer": (150, 600), "water-filtration-set": (150, 1500),
    "chlorine-comparator": (10, 200),
}  # fmt: skip
# Kinds of device whose range is not that of their class.
OTHER_PRICES = {
    "centrifuge-haematocrit-24": (600, 2000),
    "centrifuge-haematocrit-15000": (600, 2000),
    "centrifuge-serological-12": (1000, 2500),
    "centrifuge-hand-cranked-4": (50, 250),
    "centrifuge-hand-spun-kitchen": (0.2, 150),
    "centrifuge-hand-spun-disc": (0.2, 150),
    "centrifuge-printed-hand": (0.2, 150),
    "centrifuge-printed-adaptor": (0.2, 150),
    "microscope-binocular-fluorescence": (1500, 4000),
    "microscope-fluorescence-long-distance": (1500, 4000),
    "microscope-folded-paper": (1, 500),
    "microscope-printed-open": (1, 500),
    "microscope-battery-fluorescence": (1, 500),
    "isothermal-block-printed": (150, 700),
}
BETTER_THAN_A_PILOT = {"A", "B"}


def models() -> dict[str, dict]:
    return {row["code"]: row for row in catalogue("device_models")}


def classes(model: str) -> list[str]:
    return [
        row["device_class"] for row in catalogue("served_classes") if row["device_model"] == model
    ]


def price_range(model: str) -> tuple[float, float]:
    return OTHER_PRICES.get(model) or PRICES[classes(model)[0]]


@pytest.mark.parametrize("model", models())
def test_a_price_lies_in_the_planning_range_of_what_the_device_is(model):
    low, high = price_range(model)

    assert low <= float(models()[model]["price"]) <= high


def test_maintenance_costs_up_to_a_fifth_of_the_price_a_year():
    assert {
        code: row["annual_cost"]
        for code, row in models().items()
        if float(row["annual_cost"]) > 0.2 * float(row["price"]) + 0.01
    } == {}


def test_a_repair_costs_a_fifth_to_a_twentieth_of_the_price_or_the_thing_is_replaced():
    """Five to twenty per cent is a planning default."""
    for code, row in models().items():
        price, repair = float(row["price"]), float(row["repair_cost"])
        assert repair == price < 14 or 0.05 * price <= repair <= 0.2 * price, code


def test_a_year_of_work_has_no_more_hours_than_a_year():
    assert max(float(row["hours_per_year"]) for row in models().values()) <= 8760


def test_discs_prints_and_phones_are_for_pilots_until_somebody_shows_more():
    experimental = re.compile(r"disc$|printed|phone|folded")

    assert {
        code: row["evidence"]
        for code, row in models().items()
        if experimental.search(code)
        and row["evidence"] in BETTER_THAN_A_PILOT
        and "phone-microscope" not in code
    } == {}


def test_one_hand_spun_centrifuge_has_one_study_and_costs_what_that_says():
    """AJTMH 2011;85(2), doi 10.4269/ajtmh.2011.10-0399: US$35. One study is grade C."""
    spinner = models()["centrifuge-hand-spun-kitchen"]

    assert (spinner["evidence"], float(spinner["price"]), spinner["source"]) == (
        "C",
        35.0,
        "ajtmh-2011-hand-spinner",
    )


def test_every_low_cost_model_carries_cautions_and_says_who_decides():
    low_cost = {code: row for code, row in models().items() if row["is_low_cost"] == "true"}

    assert [
        code
        for code, row in low_cost.items()
        if not row["cautions"].endswith(
            "Local rules and licensed staff decide whether it may be used on patients."
        )
    ] == []
    assert len(low_cost) >= 12


@pytest.mark.parametrize(
    "warning", ["break", "aerosol", "not for sputum", "fatigue", "log the speed", "comparison"]
)
def test_every_low_cost_centrifuge_warns_of_what_can_go_wrong(warning):
    hand = [
        row
        for code, row in models().items()
        if row["is_low_cost"] == "true" and classes(code) == ["centrifuge"]
    ]

    assert len(hand) == 5
    assert [row["code"] for row in hand if warning not in row["cautions"]] == []


def test_an_impossible_claim_is_not_a_specification_and_its_radius_is_told():
    """125 000 a minute and 30 000 g imply r = 1.717 mm (g0 = 9.80665 m/s2); no source."""
    disc = models()["centrifuge-hand-spun-disc"]
    stated = {
        row["attribute"]
        for row in catalogue("specifications")
        if row["device_model"] == disc["code"]
    }

    assert "1.72 mm" in disc["cautions"]
    assert not stated & {"rcf_max_g", "rcf_settable_min_g", "r_max_cm"}


def test_names_are_generic():
    """No marks of trade, and no capital inside a word but in units and substances."""
    branded = re.compile(r"[®™©]|[a-z][A-Z]")
    allowed = re.compile(r"\b(mL|pLDH|rK39|HbA1c|hCG|NaOH|RhD|IgM)\b")
    names = [
        row["name"] for file in ("device_models", "methods", "tests") for row in catalogue(file)
    ]

    assert [name for name in names if branded.search(allowed.sub("", name))] == []
