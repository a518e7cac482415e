"""Steps, controls, consumables, batches and minutes: each method is told whole and adds up."""

from collections import defaultdict
from decimal import Decimal

import pytest

from tests.fixtures_data.district import machine_hours, staff_hours
from tests.fixtures_data.tables import catalogue, codes

# Hands-on minutes of one sample and batch, in part observed: Kato-Katz 360 samples in 65 h
# 05 min (Parasites and Vectors 2015, seen); all others are planning defaults.
MINUTES = {
    "malaria-rdt-hrp2": (4, 1),
    "haemoglobin-cuvette": (2, 1),
    "haematocrit-spun": (2, 12),
    "haematocrit-hand-spun": (3.5, 10),
    "creatinine-semi-auto": (3, 20),
    "hiv-elisa": (2.5, 90),
    "kato-katz-one": (10.8, 10),
    "full-blood-count-analyser": (2, 30),
    "cross-match-tube": (12, 4),
    "urine-strip-visual": (2, 10),
}


# Printed and battery devices that serve as a class of which the usual kind costs more.
CHEAPER_THAN_THEIR_CLASS = [
    "microscope-printed-open",
    "microscope-battery-fluorescence",
    "isothermal-block-printed",
]


def by_method(name: str) -> dict[str, list[dict[str, str]]]:
    found = defaultdict(list)
    for row in catalogue(name):
        found[row["method"]].append(row)
    return found


def test_consumables_come_to_the_cost_of_the_method():
    prices = {row["code"]: Decimal(row["unit_price"]) for row in catalogue("consumables")}
    sums = {
        method: sum(Decimal(row["quantity"]) * prices[row["consumable"]] for row in rows)
        for method, rows in by_method("method_consumables").items()
    }

    assert sums == {row["code"]: Decimal(row["consumable_cost"]) for row in catalogue("methods")}


def test_every_consumable_is_used():
    assert {row["consumable"] for row in catalogue("method_consumables")} == {
        row["code"] for row in catalogue("consumables")
    }


def test_what_is_kept_cool_is_used_only_where_there_is_a_cold_chain():
    cool = {row["code"] for row in catalogue("consumables") if row["storage"] != "ambient"}
    using = {row["method"] for row in catalogue("method_consumables") if row["consumable"] in cool}
    with_cold = {
        row["code"] for row in catalogue("methods") if "cold-chain" in codes(row["infrastructure"])
    }

    assert using <= with_cold
    assert len(using) > 20


def test_steps_are_numbered_from_one_and_end_with_the_report():
    for method, rows in by_method("method_steps").items():
        assert [int(row["position"]) for row in rows] == list(range(1, len(rows) + 1)), method
        assert [row["kind"] for row in rows].count("report") == 1, method
        assert rows[-1]["kind"] == "report", method
        assert rows[0]["kind"] in ("collect", "prepare", "measure"), method


@pytest.mark.parametrize("name", ["method_steps", "quality_controls", "method_consumables"])
def test_every_method_is_told_whole(name):
    assert by_method(name).keys() == {row["code"] for row in catalogue("methods")}


def test_a_step_uses_a_device_that_the_method_needs():
    needs = {(row["method"], row["position"]) for row in catalogue("needs")}

    assert {
        (row["method"], row["need"]) for row in catalogue("method_steps") if row["need"]
    } <= needs


@pytest.mark.parametrize("method", MINUTES)
def test_a_sample_takes_the_minutes_and_the_batch_that_were_planned(method):
    [row] = [row for row in catalogue("methods") if row["code"] == method]
    minutes, batch = MINUTES[method]

    assert (round(staff_hours(row) * 60, 1), int(row["batch_size"])) == (minutes, batch)


def test_a_larger_share_of_the_work_is_done_for_each_sample_than_for_the_batch():
    for row in catalogue("methods"):
        of_batch = float(row["minutes_per_batch"]) / int(row["batch_size"])
        assert of_batch <= float(row["minutes_per_sample"]), row["code"]


def test_machine_hours_are_those_of_a_run_shared_by_its_samples():
    """15 minutes of spinning and 9 of loading for twelve tubes of sputum are 2 minutes a test."""
    [row] = [
        row for row in catalogue("needs") if (row["method"], row["position"]) == ("afb-bleach", "1")
    ]

    assert (row["minutes_per_run"], row["samples_per_run"]) == ("24", "12")
    assert machine_hours(row) == 0.0333


def test_a_spin_takes_the_centrifuge_for_as_long_as_it_lasts_at_least():
    runs = {(row["method"], row["position"]): row for row in catalogue("needs")}

    for step in catalogue("method_steps"):
        if step["kind"] == "spin":
            run = runs[step["method"], step["need"]]
            assert float(run["minutes_per_run"]) >= float(step["minutes"]), step["method"]


def test_biosafety_is_what_the_infrastructure_provides():
    def of(row: dict[str, str]) -> str:
        items = codes(row["infrastructure"])
        if "heightened-biosafety" in items:
            return "heightened"
        return "core" if "core-biosafety" in items else "none"

    assert {row["code"]: row["biosafety"] for row in catalogue("methods")} == {
        row["code"]: of(row) for row in catalogue("methods")
    }
    assert {row["biosafety"] for row in catalogue("methods")} == {"none", "core", "heightened"}


def test_who_may_do_a_method_rises_with_what_it_needs():
    """Common practice, no source: cultures ask for a technologist, analysers for a technician."""
    cadres = {row["code"]: row["cadre"] for row in catalogue("methods")}

    assert cadres["malaria-rdt-hrp2"] == "K0"
    assert cadres["haematocrit-spun"] == "K2"
    assert cadres["malaria-smear-thick"] == "K3"
    assert cadres["urine-culture-plate"] == "K4"


def test_planning_ranges_hold_the_models_of_their_class():
    """A price lies in the range of its class or of one of its kinds; lows and highs in order."""
    ranges = defaultdict(list)
    for row in catalogue("planning_ranges"):
        assert float(row["low"]) <= float(row["high"])
        if row["measure"] == "price":
            ranges[row["device_class"]].append((float(row["low"]), float(row["high"])))
    served = {row["device_model"]: row["device_class"] for row in catalogue("served_classes")}
    known = [row for row in catalogue("device_models") if ranges[served[row["code"]]]]

    assert len(known) > 70
    assert [
        row["code"]
        for row in known
        if not any(low <= float(row["price"]) <= high for low, high in ranges[served[row["code"]]])
    ] == CHEAPER_THAN_THEIR_CLASS
