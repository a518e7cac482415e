"""Every number that a method asks of a device, written down a second time.

A slip of a tenth in any requirement decides which devices may be bought, and looks plausible:
none may pass unseen. Forces come from the sources of ``test_centrifugation``, where a single
force f is asked for as 0.9 f to 1.2 f. Glucose meters: ISO 15197:2013. Microscopes: 0.65 and
1.25 are the apertures of usual 40x and 100x oil objectives, total magnification is objective
times a 10x eyepiece (common practice, no source). Photometers and analysers: wavelengths of the
dyes and of NADH at 340 nm, 37 C for enzymes (common practice, no source). Pipettes: ISO 8655.
All others are planning defaults from memory, unverified, as the catalogue says of them.
"""

import copy
from collections.abc import Iterable
from typing import Any, NamedTuple

import pytest

from tests.fixtures_data.tables import catalogue, value


class Asked(NamedTuple):
    """What methods ask of one attribute: ``usual``, but for those named beside another value."""

    usual: Any
    others: dict[str, Any]

    @classmethod
    def of(cls, usual: Any, *others: tuple[Any, str]) -> "Asked":
        return cls(
            usual, {method: other for other, methods in others for method in methods.split()}
        )

    def of_method(self, method: str) -> Any:
        return self.others.get(method, self.usual)


ASKED = {
    ("autoclave", "set_temp_c", "covers"): Asked.of([121, 121]),
    ("balance", "readability_g", "max"): Asked.of(0.01),
    ("cartridge-blood-analyser", "operating_temp_c", "covers"): Asked.of([18, 30]),
    ("cartridge-blood-analyser", "power_w", "max"): Asked.of(50),
    ("cd4-enumerator", "power_w", "max"): Asked.of(500),
    ("centrifuge", "continuous_run_min", "min"): Asked.of(
        10,
        (5,
         "filaria-knott haematobium-sediment haematobium-sediment-hand haematocrit-spun "
         "malaria-fluorescent-capillary trypanosomiasis-capillary urine-sediment "
         "urine-sediment-battery urine-sediment-hand"),
        (15,
         "afb-bleach afb-concentrated afb-naoh-fluorescence cryptococcal-rdt-plasma "
         "hiv-viral-load-plasma prothrombin-coagulometer prothrombin-manual"),
    ),
    ("centrifuge", "power_w", "max"): Asked.of(
        500,
        (0, "haematobium-sediment-hand urine-sediment-hand"),
        (50, "urine-sediment-battery"),
    ),
    ("centrifuge", "rcf_max_g", "min"): Asked.of(
        1000,
        (900, "blood-group-tube cross-match-tube csf-microscopy trypanosomiasis-column"),
        (360, "urine-sediment urine-sediment-battery urine-sediment-hand"),
        (450, "haematobium-sediment haematobium-sediment-hand stool-concentration"),
        (10000, "haematocrit-spun malaria-fluorescent-capillary"),
        (1500, "prothrombin-coagulometer prothrombin-manual"),
        (2700, "afb-bleach afb-naoh-fluorescence"),
        (300, "filaria-knott"),
        (8000, "trypanosomiasis-capillary"),
        (3600, "afb-concentrated"),
    ),
    ("centrifuge", "rcf_settable_min_g", "max"): Asked.of(
        2000,
        (480, "urine-sediment urine-sediment-battery urine-sediment-hand"),
        (600, "haematobium-sediment haematobium-sediment-hand stool-concentration"),
        (1000, "blood-group-tube cross-match-tube"),
        (12000, "malaria-fluorescent-capillary trypanosomiasis-capillary"),
        (1200, "csf-microscopy trypanosomiasis-column"),
        (3600, "afb-bleach afb-naoh-fluorescence"),
        (15000, "haematocrit-spun"),
        (3000, "glucose-semi-auto"),
        (500, "filaria-knott"),
        (4800, "afb-concentrated"),
    ),
    ("centrifuge", "shortest_run_s", "max"): Asked.of(30),
    ("centrifuge", "timer_max_min", "min"): Asked.of(15),
    ("centrifuge", "tube_ml", "has"): Asked.of(
        [5],
        ([10],
         "csf-microscopy haematobium-sediment haematobium-sediment-hand "
         "trypanosomiasis-column urine-sediment urine-sediment-battery urine-sediment-hand"),
        ([15],
         "afb-bleach afb-concentrated afb-naoh-fluorescence filaria-knott "
         "stool-concentration"),
        ([0.075],
         "haematocrit-hand-spun haematocrit-spun malaria-fluorescent-capillary "
         "trypanosomiasis-capillary"),
    ),
    ("chemistry-analyser", "absorbance_max", "min"): Asked.of(2.5),
    ("chemistry-analyser", "cell_temp_c", "covers"): Asked.of([37, 37]),
    ("chemistry-analyser", "temp_tolerance_c", "max"): Asked.of(0.2),
    ("chemistry-analyser", "wavelengths_nm", "has"): Asked.of(
        [505],
        ([340], "alt-ast-semi-auto urea-semi-auto"),
        ([546], "bilirubin-semi-auto uric-acid-semi-auto"),
        ([405], "alkaline-phosphatase-semi-auto"),
        ([546, 620], "protein-albumin-semi-auto"),
    ),
    ("chlorine-comparator", "range_mg_l", "covers"): Asked.of([0.2, 2]),
    ("coagulometer", "cv_pct", "max"): Asked.of(5),
    ("coagulometer", "power_w", "max"): Asked.of(500),
    ("coagulometer", "temp_tolerance_c", "max"): Asked.of(0.5),
    ("counting-chamber", "depth_mm", "between"): Asked.of([0.1, 0.1]),
    ("dry-chemistry-analyser", "cv_pct", "max"): Asked.of(5),
    ("dry-chemistry-analyser", "power_w", "max"): Asked.of(500),
    ("electrolyte-analyser", "potassium_error_mmol_l", "max"): Asked.of(0.3),
    ("esr-stand", "tilt_max_deg", "max"): Asked.of(2),
    ("fluorescence-illumination", "barrier_nm", "min"): Asked.of(500),
    ("fluorescence-illumination", "excitation_peak_nm", "between"): Asked.of([430, 480]),
    ("fluorescence-illumination", "led_life_h", "min"): Asked.of(10000),
    ("fluorescence-illumination", "power_w", "max"): Asked.of(50),
    ("haematology-analyser", "cv_hb_pct", "max"): Asked.of(1.5),
    ("haematology-analyser", "cv_plt_pct", "max"): Asked.of(5),
    ("haematology-analyser", "cv_wbc_pct", "max"): Asked.of(3),
    ("haemoglobin-colour-scale", "step_g_dl", "max"): Asked.of(2),
    ("haemoglobin-photometer", "bias_g_dl", "max"): Asked.of(0.5),
    ("haemoglobin-photometer", "cv_pct", "max"): Asked.of(2),
    ("haemoglobin-photometer", "power_w", "max"): Asked.of(50),
    ("haemoglobin-photometer", "wavelengths_nm", "has"): Asked.of([880]),
    ("immunoassay-reader", "cv_pct", "max"): Asked.of(10),
    ("immunoassay-reader", "power_w", "max"): Asked.of(500),
    ("incubator", "set_temp_c", "covers"): Asked.of(
        [37, 37],
        ([35, 37], "blood-culture-bottle urine-culture-plate"),
        ([44, 44], "water-membrane"),
    ),
    ("incubator", "temp_tolerance_c", "max"): Asked.of(
        1,
        (2, "blood-culture-bottle urine-culture-plate"),
    ),
    ("inr-meter", "cv_pct", "max"): Asked.of(8),
    ("inr-meter", "power_w", "max"): Asked.of(50),
    ("isothermal-block", "set_temp_c", "covers"): Asked.of([67, 67]),
    ("isothermal-block", "temp_tolerance_c", "max"): Asked.of(0.5),
    ("laboratory-refrigerator", "temp_high_c", "max"): Asked.of(
        6,
        (8, "urine-culture-plate"),
    ),
    ("laboratory-refrigerator", "temp_low_c", "min"): Asked.of(2),
    ("micropipette", "systematic_error_pct", "max"): Asked.of(3),
    ("micropipette", "volume_ul", "covers"): Asked.of([10, 1000]),
    ("microplate-reader", "wavelengths_nm", "has"): Asked.of([450, 620]),
    ("microscope", "magnification_total", "min"): Asked.of(
        400,
        (1000,
         "afb-bleach afb-concentrated afb-ziehl-neelsen blood-film-oil csf-microscopy "
         "filaria-film gram-stain-oil leprosy-slit-skin malaria-smear-thick "
         "malaria-smear-thin white-cells-chamber"),
        (100,
         "haematobium-filtration haematobium-sediment haematobium-sediment-hand "
         "kato-katz-one kato-katz-two"),
        (500, "malaria-fluorescent-capillary"),
    ),
    ("microscope", "objective_na_100", "min"): Asked.of(1.25),
    ("microscope", "objective_na_40", "min"): Asked.of(0.65),
    ("microscope", "power_w", "max"): Asked.of(50),
    ("naat-platform", "operating_temp_c", "covers"): Asked.of(
        [15, 30],
        ([15, 40], "tb-naat-battery"),
    ),
    ("pcv-reader", "graduation_pct", "max"): Asked.of(1),
    ("phone-microscope", "field_mm", "min"): Asked.of(1),
    ("phone-microscope", "resolution_um", "max"): Asked.of(3),
    ("photometer", "absorbance_max", "min"): Asked.of(1.5),
    ("photometer", "bandwidth_nm", "max"): Asked.of(20),
    ("photometer", "drift_a_per_h", "max"): Asked.of(0.005),
    ("photometer", "power_w", "max"): Asked.of(50),
    ("photometer", "wavelengths_nm", "has"): Asked.of(
        [540],
        ([546], "bilirubin-photometer"),
        ([620], "protein-albumin-photometer"),
        ([340], "c-reactive-protein-photometer"),
    ),
    ("rotator", "speed_range_rpm", "covers"): Asked.of([100, 100]),
    ("safety-cabinet", "inflow_m_s", "min"): Asked.of(0.4),
    ("tachometer", "speed_range_rpm", "covers"): Asked.of([300, 6000]),
    ("thermal-block", "power_w", "max"): Asked.of(500),
    ("thermal-block", "set_temp_c", "covers"): Asked.of([37, 37]),
    ("thermal-block", "temp_tolerance_c", "max"): Asked.of(
        1,
        (0.5, "prothrombin-manual"),
    ),
    ("urine-strip-reader", "power_w", "max"): Asked.of(50),
    ("water-filtration-set", "membrane_mm", "between"): Asked.of([47, 50]),
}  # fmt: skip


def numbers(asked: Any) -> list[float]:
    parts = asked if isinstance(asked, list) else [asked]
    return [part for part in parts if isinstance(part, int | float) and not isinstance(part, bool)]


def numeric_rows() -> list[dict[str, Any]]:
    """The requirements that are numbers, each with its device class and its value read."""
    classes = {(row["method"], row["position"]): row["device_class"] for row in catalogue("needs")}
    rows = (
        {**row, "value": value(row), "device_class": classes[row["method"], row["position"]]}
        for row in catalogue("requirements")
    )
    return [row for row in rows if numbers(row["value"])]


def departures(rows: Iterable[dict[str, Any]]) -> list[tuple[str, str, Any]]:
    """Method, attribute and value of each row that is not as written down here."""
    return [
        (row["method"], row["attribute"], row["value"])
        for row in rows
        if (row["device_class"], row["attribute"], row["comparator"]) not in ASKED
        or ASKED[row["device_class"], row["attribute"], row["comparator"]].of_method(row["method"])
        != row["value"]
    ]


def scaled(asked: Any, factor: float) -> Any:
    return [part * factor for part in asked] if isinstance(asked, list) else asked * factor


def test_every_number_in_the_catalogue_is_the_one_written_down_here():
    assert departures(numeric_rows()) == []


def test_everything_written_down_here_is_asked_for():
    rows = numeric_rows()
    keys = {(row["device_class"], row["attribute"], row["comparator"]) for row in rows}
    named = {
        (key, method): asked for key, each in ASKED.items() for method, asked in each.others.items()
    }

    assert ASKED.keys() - keys == set()
    assert named.keys() == {
        ((row["device_class"], row["attribute"], row["comparator"]), row["method"])
        for row in rows
        if row["value"] != ASKED[row["device_class"], row["attribute"], row["comparator"]].usual
    }


@pytest.mark.parametrize("factor", [0.9, 1.1])
def test_a_tenth_more_or_less_in_any_requirement_is_noticed(factor):
    rows = numeric_rows()
    unnoticed = []
    for row in rows:
        changed = copy.copy(row) | {"value": scaled(row["value"], factor)}
        if changed["value"] != row["value"] and not departures([changed]):
            unnoticed.append((row["method"], row["attribute"]))

    assert len(rows) > 500
    assert unnoticed == []
