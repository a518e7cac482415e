"""What the engine makes of the catalogue: every test can be done, and devices differ."""

from functools import cache

import numpy as np
import pytest

from planner.engine.case import Case
from planner.engine.matching import Suitability, Verdict, suitability
from tests.fixtures_data.district import planning_case
from tests.fixtures_data.tables import catalogue

UNUSED = ("Warning example: ", "For teaching only.")


@cache
def everything() -> Case:
    """With the methods that are for pilots only."""
    return planning_case(investigational=True)


@cache
def judged() -> tuple[Suitability, list[str]]:
    case = everything()
    return suitability(case), [model.code for model in case.device_models]


def centrifuge_needs() -> list[int]:
    found, _ = judged()
    return [
        position for position, need in enumerate(found.needs) if need.device_class == "centrifuge"
    ]


def test_the_catalogue_is_of_the_size_of_a_district():
    assert [
        len(catalogue(name)) for name in ("tests", "methods", "device_models", "device_classes")
    ] == [69, 138, 88, 38]


def test_every_need_is_met_by_an_accepted_model_but_for_pilots():
    """A hand-spun head with one study behind it, and phone microscopes: not before more studies,
    or before the very item was verified."""
    found, _ = judged()

    assert [
        (need.device_class, "corrected_reader_card" in need.require)
        for need, suits in zip(found.needs, found.suits, strict=True)
        if not suits.any()
    ] == [("centrifuge", True), ("phone-microscope", False)]


def test_a_pilot_can_meet_the_need_for_a_phone_microscope():
    found, codes = judged()
    [need] = [n for n, need in enumerate(found.needs) if need.device_class == "phone-microscope"]

    suiting = np.flatnonzero(found.verdicts[need] == Verdict.MET)

    assert [codes[model] for model in suiting] == [
        "microscope-phone-clip",
        "microscope-phone-stage",
    ]


def test_every_test_has_a_method_that_accepted_models_can_do():
    found, _ = judged()
    met = found.suits.any(axis=1)
    possible = {
        method.test
        for method, needs in zip(everything().methods, found.method_needs, strict=True)
        if all(met[list(needs)])
    }

    assert {row["code"] for row in catalogue("tests")} - possible == set()


def test_every_model_serves_a_method_or_might_or_says_why_it_is_here():
    found, codes = judged()
    may = (found.verdicts >= Verdict.UNKNOWN).any(axis=0)
    cautions = {row["code"]: row["cautions"] for row in catalogue("device_models")}

    assert [
        code
        for code, useful in zip(codes, may, strict=True)
        if not useful and not cautions[code].startswith(UNUSED)
    ] == []


def test_a_warning_example_serves_no_method():
    found, codes = judged()
    suits_some = (found.verdicts == Verdict.MET).any(axis=0)
    useful = {code for code, suits in zip(codes, suits_some, strict=True) if suits}

    assert (
        useful
        & {row["code"] for row in catalogue("device_models") if row["cautions"].startswith(UNUSED)}
        == set()
    )


def test_no_centrifuge_does_every_job_and_some_do_none():
    found, codes = judged()
    needs = centrifuge_needs()
    served = {
        code: int((found.verdicts[needs, model] == Verdict.MET).sum())
        for model, code in enumerate(codes)
        if code.startswith("centrifuge-")
    }

    assert max(served.values()) < len(needs) * 0.75
    assert served["centrifuge-micro-12"] == 0
    assert served["centrifuge-haematocrit-15000"] < served["centrifuge-haematocrit-24"]
    assert served["centrifuge-fixed-angle-6"] < served["centrifuge-swing-8"]


@pytest.mark.parametrize(
    ("model", "unknown"),
    [
        ("centrifuge-rpm-only-8", "rcf_max_g"),
        ("microscope-battery-field", "objective_na_100"),
        ("photometer-unstated", "drift_a_per_h"),
        ("glucose-meter-unstated", "iso_15197_2013"),
        ("haematology-analyser-small", "cv_plt_pct"),
    ],
)
def test_what_a_maker_does_not_state_is_unknown_not_a_failure(model, unknown):
    found, codes = judged()
    stated = {
        row["attribute"] for row in catalogue("specifications") if row["device_model"] == model
    }

    assert unknown not in stated
    assert (found.verdicts[:, codes.index(model)] == Verdict.UNKNOWN).any()


def test_alt_and_ast_need_340_nm_and_rates_which_not_every_analyser_has():
    found, codes = judged()
    [method] = [
        needs
        for method, needs in zip(everything().methods, found.method_needs, strict=True)
        if method.code == "alt-ast-semi-auto"
    ]
    [need] = [n for n in method if found.needs[n].device_class == "chemistry-analyser"]

    assert [codes[model] for model in np.flatnonzero(found.verdicts[need] == Verdict.MET)] == [
        "chemistry-analyser-7-filters"
    ]
