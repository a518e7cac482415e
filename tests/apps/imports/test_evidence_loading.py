"""Steps, consumables, limits and studies: what is taken in, and what is refused and why."""

import pytest
from django.db import connection

from apps.catalogue.models import Attribute, Method, MethodStep, Need, Study, VerificationLimit
from apps.imports.services import LoadError, load_catalogue
from tests.apps.imports.folders import CATALOGUE, HEAD, SOURCED, write_folder

SPINS = (
    "code,name,rcf_g_low,rcf_g_high,radius,minutes_low,minutes_high,gmin_scaling,acceptance,"
    f"{HEAD}\n"
)
STEPS = f"method,position,kind,text,minutes,need,spin,{HEAD}\n"
CONTROLS = f"method,kind,every,interval,extra_tests_share,{HEAD}\n"
CONSUMABLES = (
    f"code,name,unit,unit_price,storage,ambient_max_c,shelf_life_months,litres_per_unit,{HEAD}\n"
)
USES = f"method,consumable,quantity,{HEAD}\n"
RANGES = f"device_class,variant,measure,low,high,{HEAD}\n"
LIMITS = (
    "code,device_class,method,test,rule,measure,analyte,low,high,ucum,share_within,range_low,"
    f"range_high,range_ucum,minimum_samples,valid_months,note,{HEAD}\n"
)
STUDIES = (
    "code,device_model,method,setting,intended_users,peer_reviewed,limits_met,n,smallest_class,"
    "reference,true_positive,false_positive,false_negative,true_negative,sensitivity,"
    "sensitivity_low,sensitivity_high,specificity,specificity_low,specificity_high,bias,"
    f"{HEAD}\n"
)
EVIDENCE = {
    "planning_ranges.csv": f"{RANGES}centrifuge,,price,500,2500,{SOURCED}\n",
    "spin_procedures.csv": f"{SPINS}pcv,PCV,10000,15000,r_max,3,5,none,,{SOURCED}\n",
    "method_steps.csv": f"{STEPS}spun,1,collect,Prick.,1,,,{SOURCED}\n"
    f"spun,2,spin,Spin.,5,1,pcv,{SOURCED}\n",
    "quality_controls.csv": f"{CONTROLS}spun,duplicate,1,tests,1,{SOURCED}\n",
    "consumables.csv": f"{CONSUMABLES}capillary,Capillary,piece,0.1,ambient,30,36,0.001,{SOURCED}\n"
    f"lancet,Lancet,piece,0.05,ambient,,,,{SOURCED}\n",
    "method_consumables.csv": f"{USES}spun,capillary,2,{SOURCED}\nspun,lancet,1,{SOURCED}\n",
    "verification_limits.csv": f"{LIMITS}speed,centrifuge,,,check,speed_error_pct,,-10,10,%,,,,,,"
    f"12,,{SOURCED}\n",
    "studies.csv": f"{STUDIES}field,spinner,,field,true,true,,100,,culture,45,,5,,0.9,0.79,0.96,"
    f",,,,{SOURCED}\n",
}

# PostgreSQL holds small whole numbers up to a limit of its own.
FROM_ONE = ", 1 or more" if connection.vendor == "sqlite" else " from 1 to 32767"


def folder(tmp_path, **changed):
    return write_folder(tmp_path / "catalogue", CATALOGUE | EVIDENCE, **changed)


def problems(path) -> list[str]:
    with pytest.raises(LoadError) as refusal:
        load_catalogue(folder=path, by=None)
    return [str(problem) for problem in refusal.value.problems]


def test_what_is_known_of_a_method_comes_in_as_the_files_say(db, tmp_path):
    load_catalogue(folder=folder(tmp_path), by=None)

    method = Method.objects.get()
    assert (method.staff_hours, method.cadre, method.clinical_grade, method.specificity) == (
        0.1, "K2", "routine", None,
    )  # fmt: skip
    assert Need.objects.get().hours == 0.05
    assert [
        (step.kind, step.need and step.need.position, step.spin and step.spin.code)
        for step in MethodStep.objects.all()
    ] == [("collect", None, None), ("spin", 1, "pcv")]
    assert [control.extra_tests_share for control in method.controls.all()] == [1]
    assert [(use.consumable.code, use.quantity) for use in method.consumables.all()] == [
        ("capillary", 2), ("lancet", 1),
    ]  # fmt: skip
    study, limit = Study.objects.get(), VerificationLimit.objects.get()
    assert (study.device_model.code, study.intended_users, study.limits_met, study.sensitivity) == (
        "spinner", True, None, 0.9,
    )  # fmt: skip
    assert (limit.device_class.code, limit.low, limit.high, limit.valid_months) == (
        "centrifuge", -10, 10, 12,
    )  # fmt: skip


def test_the_same_evidence_twice_changes_nothing(db, tmp_path):
    path = folder(tmp_path)
    load_catalogue(folder=path, by=None)

    assert load_catalogue(folder=path, by=None).nothing_changed


def test_a_step_that_is_no_longer_listed_is_removed(db, tmp_path):
    load_catalogue(folder=folder(tmp_path), by=None)
    steps = EVIDENCE["method_steps.csv"].replace(f"spun,1,collect,Prick.,1,,,{SOURCED}\n", "")

    load_catalogue(folder=folder(tmp_path, method_steps=steps), by=None)

    assert [step.position for step in MethodStep.objects.all()] == [2]


def attributes(row: str) -> dict[str, str]:
    return {"attributes": f"{CATALOGUE['attributes.csv']}{row}\n"}


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        (
            attributes("centrifuge,rcf_low_g,Force,number,[g],min,,"),
            "attributes.csv:4: radius is empty, expected one of r_max, r_av, r_min:"
            " a force is one at a radius.",
        ),
        (
            attributes("centrifuge,mass_g,Mass,number,g,min,r_max,"),
            "attributes.csv:4: radius is r_max, but only a force, in [g], is stated at a radius.",
        ),
        (
            attributes("centrifuge,drive,Drive,text,,min,,"),
            "attributes.csv:4: comparator is min, which does not fit the kind text.",
        ),
        (
            {"attributes": CATALOGUE["attributes.csv"].replace("[g],,r_max", "[g],max,r_max")},
            "requirements.csv:2: comparator is min, but methods ask for this attribute by max.",
        ),
        (
            {"methods": CATALOGUE["methods.csv"].replace("demo,demo,,,,K2", "demo,demo,0.9,,,K2")},
            "methods.csv:2: give specificity, specificity_source and specificity_kind,"
            " or leave all three empty.",
        ),
        (
            {"methods": CATALOGUE["methods.csv"].replace("K2,12,24", "K2,0,24")},
            f'methods.csv:2: batch_size is "0", expected a whole number{FROM_ONE}.',
        ),
        (
            {"needs": CATALOGUE["needs.csv"].replace("36,12", "36,0")},
            f'needs.csv:2: samples_per_run is "0", expected a whole number{FROM_ONE}.',
        ),
        (
            {"spin_procedures": EVIDENCE["spin_procedures.csv"].replace("10000,", ",")},
            "spin_procedures.csv:2: give rcf_g_low and rcf_g_high, the lower first,"
            " or leave both empty.",
        ),
        (
            {"spin_procedures": EVIDENCE["spin_procedures.csv"].replace(",3,5,", ",5.1,5,")},
            "spin_procedures.csv:2: minutes_low is greater than minutes_high."
            " Give the shorter time first.",
        ),
        (
            {"method_steps": EVIDENCE["method_steps.csv"].replace("Prick.,1,,,", "Prick.,1,,pcv,")},
            "method_steps.csv:2: spin is given, but the step is of the kind collect."
            " Leave one of them.",
        ),
        (
            {"method_steps": EVIDENCE["method_steps.csv"].replace("5,1,pcv", "5,,pcv")},
            "method_steps.csv:3: a step that spins names its spin procedure and the need for a"
            " centrifuge.",
        ),
        (
            {"method_steps": EVIDENCE["method_steps.csv"].replace("5,1,pcv", "5,2,pcv")},
            'method_steps.csv:3: need is "2", which is none of the needs of spun.',
        ),
        (
            {"spin_procedures": EVIDENCE["spin_procedures.csv"].replace("r_max", "r_av")},
            "method_steps.csv:3: the spin is stated at r_av, but the need asks for rcf_g at r_max."
            " Convert one of them: a force differs from radius to radius.",
        ),
        (
            {
                "method_consumables": EVIDENCE["method_consumables.csv"].replace(
                    "lancet,1", "lancet,2"
                )
            },
            "method_consumables.csv:2: consumable_cost of spun is 0.25, but its consumables come to"
            " 0.3. List them all, or correct one of the two.",
        ),
        (
            {"consumables": EVIDENCE["consumables.csv"].replace("0.05", "0.0501")},
            "method_consumables.csv:2: consumable_cost of spun is 0.25, but its consumables come to"
            " 0.2501. List them all, or correct one of the two.",
        ),
        (
            {"planning_ranges": EVIDENCE["planning_ranges.csv"].replace("500,2500", "2500,500")},
            "planning_ranges.csv:2: low is 2500 and high 500, expected the lower first.",
        ),
        (
            {
                "verification_limits": EVIDENCE["verification_limits.csv"].replace(
                    "centrifuge,,,", "centrifuge,spun,,"
                )
            },
            "verification_limits.csv:2: name one of device_class, method and test,"
            " and leave the others empty.",
        ),
        (
            {"verification_limits": EVIDENCE["verification_limits.csv"].replace("-10,10", ",")},
            "verification_limits.csv:2: low and high are both empty,"
            " expected one of them at least.",
        ),
        (
            {"verification_limits": EVIDENCE["verification_limits.csv"].replace("-10,", "11,")},
            "verification_limits.csv:2: low is 11 and high 10, expected the lower first.",
        ),
        (
            {"studies": EVIDENCE["studies.csv"].replace("spinner,,", "spinner,spun,")},
            "studies.csv:2: name a device_model or a method, one of the two.",
        ),
        (
            {"studies": EVIDENCE["studies.csv"].replace("0.79,0.96", "0.91,0.96")},
            "studies.csv:2: sensitivity must lie between sensitivity_low and sensitivity_high.",
        ),
        (
            {"studies": EVIDENCE["studies.csv"].replace("0.79,0.96", "0.79,")},
            "studies.csv:2: give sensitivity_low and sensitivity_high, or leave both empty.",
        ),
        (
            {"studies": EVIDENCE["studies.csv"].replace("45,,5", "44,,6")},
            "studies.csv:2: sensitivity is 0.9, but true_positive and false_negative give 0.8800.",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_reason(db, tmp_path, changed, expected):
    assert problems(folder(tmp_path, **changed)) == [expected]
    assert not Method.objects.exists()


def test_an_attribute_that_is_in_use_never_moves_to_another_radius(db, tmp_path):
    load_catalogue(folder=folder(tmp_path), by=None)
    moved = CATALOGUE["attributes.csv"].replace("r_max", "r_av")
    spins = EVIDENCE["spin_procedures.csv"].replace("r_max", "r_av")

    assert problems(folder(tmp_path, attributes=moved, spin_procedures=spins))[0] == (
        "attributes.csv:2: the attribute is already there, at r_max."
        " Add one with a code of its own."
    )
    assert Attribute.objects.get(code="rcf_g").radius == "r_max"


def test_sums_are_not_told_of_before_every_row_is_right(db, tmp_path):
    uses = EVIDENCE["method_consumables.csv"].replace("lancet,1", "lancte,1")

    assert problems(folder(tmp_path, method_consumables=uses)) == [
        'method_consumables.csv:3: consumable is "lancte", which is none of the consumables;'
        " did you mean lancet?"
    ]


def test_a_method_may_state_its_cost_without_listing_consumables(db, tmp_path):
    load_catalogue(folder=folder(tmp_path, method_consumables=USES), by=None)

    assert str(Method.objects.get().consumable_cost) == "0.2500"
