"""Cells and the table of coverage in words."""

import numpy as np
import pandas as pd
import pytest

from planner.engine.coverage import (
    Cell,
    Coverage,
    Fix,
    FixAction,
    MethodCell,
    Missing,
    State,
    assess,
)
from planner.engine.errors import EngineError
from planner.engine.matching import Verdict
from tests.factories.cases import (
    case,
    device_model,
    infrastructure,
    lab_test,
    link,
    method,
    need,
    serves,
    site,
    skill,
    stock,
)
from tests.factories.clotting import PLASMA, SPINNER, plasma, referring

THIN = "\N{NARROW NO-BREAK SPACE}"


def crowded() -> Coverage:
    """A site with one unit for every way to fall short, and a method short of everything."""
    models = [
        device_model("weak", serves("centrifuge", rcf_g=520), name="Crank", price=1),
        device_model("broken", serves("centrifuge", rcf_g=2000), name="Mains", repair_cost=70),
        device_model("silent", serves("centrifuge"), name="Old mains"),
        device_model("claim", serves("centrifuge", rcf_g=9000), name="Disc", evidence="D"),
        device_model("bath", serves("bath"), name="Bath"),
    ]
    return assess(
        plasma(
            minimum_evidence="B",
            skills=[skill("spinning", name="Spinning", training_cost=80)],
            infrastructure=[infrastructure("power", name="Power", cost={"1": 1400})],
            device_models=[models[0], models[1].model_copy(update={"price": 900.0}), *models[2:]],
            methods=[
                method("plasma", "clotting", PLASMA, skills=["spinning"], infrastructure=["power"])
            ],
            stock=[
                stock("hill", "weak", working=1),
                stock("hill", "broken", broken=1),
                stock("hill", "silent", broken=1),
                stock("hill", "claim", working=1),
                stock("hill", "bath", working=1),
            ],
        )
    )


def test_a_cell_says_what_is_missing_why_each_unit_falls_short_and_what_would_help():
    cell = crowded().cell("hill", "clotting")

    asked = f"rcf_g: needs at least 1{THIN}500{THIN}g"
    fix = Fix(
        "plasma",
        (
            FixAction("repair", "broken", 70.0),
            FixAction("train", "spinning", 80.0),
            FixAction("provide", "power", 1400.0),
        ),
        1550.0,
    )
    lacking = (
        Missing(
            "device",
            f"centrifuge with rcf_g at least 1{THIN}500{THIN}g",
            f"Crank: {asked}, reaches 520{THIN}g; Mains: broken; "
            f"Old mains: broken, {asked}, is not known; Disc: not accepted: evidence grade D",
        ),
        Missing("skill", "Spinning", "nobody is trained"),
        Missing("infrastructure", "Power", "not there"),
    )
    assert cell == Cell(
        site="hill",
        test="clotting",
        state=State.BLOCKED,
        demand=10.0,
        running=(),
        method=None,
        referral=None,
        methods=(MethodCell("plasma", Verdict.NOT_MET, lacking, (), fix, ""),),
        fix=fix,
        no_fix="",
        questions=(),
    )


def test_a_need_is_missing_once_and_only_conditions_that_fail_are_the_reason():
    wanted = need("centrifuge", rcf_g={"min": 1500}, tubes={"min": 4}, brake={"is": False})
    small = device_model("small", serves("centrifuge", rcf_g=1500, tubes=2), name="Small")

    cell = assess(
        plasma(
            device_models=[small],
            methods=[method("plasma", "clotting", wanted, wanted)],
            stock=[stock("hill", "small", working=1)],
        )
    ).cell("hill", "clotting")

    assert [each.reason for each in cell.methods[0].missing] == [
        "Small: tubes: needs at least 4, reaches 2"
    ]


def test_a_cell_that_nothing_can_fix_says_why_for_each_method():
    found = assess(
        plasma(
            infrastructure=[infrastructure("power", name="Power", cost={"2": 100})],
            device_models=[device_model("silent", serves("centrifuge"))],
            methods=[
                method("a", "clotting", PLASMA),
                method("b", "clotting", infrastructure=["power"]),
            ],
        )
    )

    cell = found.cell("hill", "clotting")
    assert (cell.fix, cell.no_fix, found.fix_cost.tolist()) == (
        None,
        "a: no accepted device model is known to suit: centrifuge with rcf_g at least "
        f"1{THIN}500{THIN}g; b: Power cannot be provided at level 1",
        [[np.inf]],
    )


def test_questions_name_each_unit_once_and_only_where_the_answer_would_open_the_test():
    folded = device_model("folded", serves("microscope"), name="Folded")
    methods = [
        method("smear", "malaria", need("microscope", na={"min": 1.25})),
        method("thick", "malaria", need("microscope", na={"min": 1.25}, stage={"is": True})),
        method("spun", "malaria", need("microscope", field_mm={"min": 1}), PLASMA),
        method(
            "twice", "malaria", need("microscope", na={"min": 1}), need("microscope", na={"min": 2})
        ),
    ]

    found = assess(
        case(
            device_models=[folded],
            tests=[lab_test("malaria")],
            methods=methods,
            sites=[site("hill", demand={"malaria": 1})],
            stock=[stock("hill", "folded", working=1)],
        )
    )

    aperture = "measure or find na (numerical aperture) of Folded"
    field = "measure or find field_mm (diameter of the field of view) of Folded"
    stage = "measure or find stage of Folded"
    cell = found.cell("hill", "malaria")
    assert cell.questions == (aperture, stage)
    assert {each.method: each.questions for each in cell.methods} == {
        "smear": (aperture,),
        "thick": (aperture, stage),
        "spun": (field,),
        "twice": (aperture,),
    }


def test_the_table_has_one_row_of_text_for_each_site_and_test():
    silent = device_model("silent", serves("centrifuge"), name="Silent")
    found = assess(
        referring(
            link("hill", "town", hours=3, cost=0.5),
            device_models=[SPINNER, silent],
            methods=[method("plasma", "clotting", PLASMA), method("none", "typing", need("rack"))],
            tests=[lab_test("clotting", max_transport_hours=24), lab_test("typing")],
            sites=[
                site("hill", demand={"clotting": 10, "typing": 1}),
                site("town"),
                site("wood", demand={"clotting": 1}),
            ],
            stock=[stock("town", "spinner", working=1), stock("wood", "silent", working=1)],
        )
    )

    plasma_lacking = f"plasma: centrifuge with rcf_g at least 1{THIN}500{THIN}g"
    question = "measure or find rcf_g (greatest relative centrifugal force) of Silent"
    columns = ["site", "test", "state", "method", "at", "fix", "fix_cost", "blockers", "questions"]
    rows = [
        ("hill", "clotting", "referred", "plasma", "town", "buy spinner", 900, plasma_lacking, ""),
        ("hill", "typing", "blocked", "", "", "", np.nan, "none: rack", ""),
        ("town", "clotting", "runs", "plasma", "town", "", np.nan, "", ""),
        ("town", "typing", "not_expected", "", "", "", np.nan, "", ""),
        ("wood", "clotting", "unknown", "", "", "buy spinner", 900, "", question),
        ("wood", "typing", "not_expected", "", "", "", np.nan, "", ""),
    ]
    expected = pd.DataFrame(rows, columns=columns).astype({"fix_cost": float})
    pd.testing.assert_frame_equal(found.table(), expected)


def test_the_table_tells_apart_sites_that_lack_different_skills_and_infrastructure():
    asked = {"skills": ["spinning"], "infrastructure": ["power"]}
    found = assess(
        plasma(
            skills=[skill("spinning", name="Spinning")],
            infrastructure=[infrastructure("power", name="Power", cost={"1": 0})],
            methods=[method("look", "clotting", **asked)],
            sites=[
                site("neither", demand={"clotting": 1}),
                site("skilled", demand={"clotting": 1}, skills=["spinning"]),
                site("powered", demand={"clotting": 1}, infrastructure=["power"]),
            ],
        )
    )

    assert found.table()[["site", "fix", "blockers"]].to_numpy().tolist() == [
        ["neither", "train spinning; provide power", "look: Spinning, Power"],
        ["skilled", "provide power", "look: Power"],
        ["powered", "train spinning", "look: Spinning"],
    ]


def test_the_table_tells_apart_sites_with_other_units_that_fall_short_alike():
    unknown = [device_model(code, serves("centrifuge"), name=code.title()) for code in ("x", "y")]
    places = ["bare", "mendable", "with-x", "with-y"]
    found = assess(
        plasma(
            device_models=[SPINNER, *unknown],
            sites=[site(code, demand={"clotting": 1}) for code in places],
            stock=[
                stock("mendable", "spinner", broken=1),
                stock("with-x", "x", working=1),
                stock("with-y", "y", working=1),
            ],
        )
    )

    asked = "measure or find rcf_g (greatest relative centrifugal force) of"
    assert found.table()[["site", "fix", "questions"]].to_numpy().tolist() == [
        ["bare", "buy spinner", ""],
        ["mendable", "repair spinner", ""],
        ["with-x", "buy spinner", f"{asked} X"],
        ["with-y", "buy spinner", f"{asked} Y"],
    ]


def test_a_case_without_tests_has_an_empty_table():
    found = assess(case())

    assert (found.state.shape, len(found.table())) == ((1, 0), 0)


@pytest.mark.parametrize(
    ("site_code", "test_code", "problem"),
    [
        ("moon", "clotting", "The case has no site with code 'moon'."),
        ("hill", "luck", "The case has no test with code 'luck'."),
    ],
)
def test_a_cell_outside_the_case_is_refused_by_name(site_code, test_code, problem):
    with pytest.raises(EngineError) as refused:
        assess(plasma()).cell(site_code, test_code)

    assert refused.value.problem == problem
