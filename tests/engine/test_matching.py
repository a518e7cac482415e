"""A specification meets a condition, fails it, or leaves it open."""

import jsonschema
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.conditions import Condition, parse_condition, parse_spec
from planner.engine.matching import (
    Finding,
    Match,
    Verdict,
    check,
    match,
    need_in_words,
    suitability,
)
from tests.factories.cases import case, device_model, lab_test, method, need, serves

THIN = "\N{NARROW NO-BREAK SPACE}"

# Microhaematocrit is spun at 10 000-15 000 g (CLSI H07; from memory).
PACKED_CELLS_RCF_G = [10_000, 15_000]
# Urine sediment is spun at 400 g (European Urinalysis Guidelines 2000); minus 10, plus 20 %.
SEDIMENT_RCF_G = [360, 480]


def verdict(condition: dict, spec: object) -> Verdict:
    held = None if spec is None else parse_spec(spec)
    return check("x", parse_condition(condition), held).verdict


@pytest.mark.parametrize(
    ("condition", "meets", "misses"),
    [
        ({"min": 2000}, 2000, 1999),
        ({"max": 2}, 2, 2.01),
        ({"between": PACKED_CELLS_RCF_G}, 10_000, 9_999),
        ({"between": PACKED_CELLS_RCF_G}, 15_000, 15_001),
        ({"covers": [4, 37]}, [4, 37], [4, 36.9]),
        ({"covers": [4, 37]}, [3, 38], [4.1, 37]),
        ({"is": "LED"}, "LED", "led"),
        ({"is": True}, True, False),
        ({"is": 24}, 24, 25),
        ({"has": [570, 880]}, [880, 505, 570], [570, 879]),
        ({"has": [570]}, 570, 571),
        ({"has": ["serum"]}, "serum", "urine"),
        ({"has": ["serum"]}, ["serum"], []),
    ],
)
def test_a_condition_is_met_up_to_its_limit_and_not_one_step_beyond(condition, meets, misses):
    assert (verdict(condition, meets), verdict(condition, misses)) == (
        Verdict.MET,
        Verdict.NOT_MET,
    )


@pytest.mark.parametrize(
    ("condition", "spec"),
    [
        ({"min": 2000}, None),
        ({"min": 2000}, "high"),
        ({"min": 1}, True),
        ({"max": 2}, [1, 2]),
        ({"between": [0, 1]}, False),
        ({"covers": [4, 37]}, None),
        ({"covers": [4, 37]}, 20),
        ({"covers": [4, 37]}, [37, 4]),
        ({"covers": [4, 37]}, [0, 20, 40]),
        ({"covers": [4, 37]}, ["cold", "hot"]),
        ({"is": True}, 1),
        ({"is": 0}, False),
        ({"is": "LED"}, ["LED"]),
        ({"has": [570]}, None),
        ({"has": [570]}, ["yellow"]),
        ({"has": [1]}, [True]),
        ({"min": 1}, []),
    ],
)
def test_a_specification_that_is_missing_or_of_another_kind_leaves_the_condition_open(
    condition, spec
):
    assert verdict(condition, spec) is Verdict.UNKNOWN


def test_a_list_fails_for_what_it_lacks_even_where_another_item_cannot_be_compared():
    assert verdict({"has": [570, "LED"]}, [880]) is Verdict.NOT_MET


@pytest.mark.parametrize(
    ("attribute", "condition", "spec", "reason"),
    [
        (
            "rcf_g",
            {"between": PACKED_CELLS_RCF_G},
            520,
            f"rcf_g: needs 10{THIN}000–15{THIN}000{THIN}g, reaches 520{THIN}g",
        ),
        ("r_max_cm", {"min": 9.5}, 16, f"r_max_cm: needs at least 9.5{THIN}cm, reaches 16{THIN}cm"),
        ("cv_pct", {"max": 2}, 2.5, f"cv_pct: needs at most 2{THIN}%, has 2.5{THIN}%"),
        (
            "set_temp_c",
            {"covers": [4, 37]},
            [10, 60],
            f"set_temp_c: needs 4–37{THIN}°C, covers 10–60{THIN}°C",
        ),
        ("illumination", {"is": "LED"}, "mirror", "illumination: needs LED, is mirror"),
        ("lid_interlock", {"is": True}, False, "lid_interlock: needs yes, is no"),
        (
            "wavelengths_nm",
            {"has": [570, 880]},
            [505],
            f"wavelengths_nm: needs 570, 880{THIN}nm, has 505{THIN}nm",
        ),
        ("tubes", {"min": 4}, 2, "tubes: needs at least 4, reaches 2"),
        ("analytes", {"has": ["urea"]}, [], "analytes: needs urea, has nothing"),
        # The last part of this name is no unit: the smallest force, not minutes.
        (
            "rcf_settable_min",
            {"max": 400},
            12_000,
            f"rcf_settable_min: needs at most 400{THIN}g, has 12{THIN}000{THIN}g",
        ),
    ],
)
def test_the_reason_has_what_is_needed_and_what_is_there_in_numbers(
    attribute, condition, spec, reason
):
    found = check(attribute, parse_condition(condition), parse_spec(spec))

    assert (found.reason, found.settle) == (reason, "")


def test_a_missing_specification_comes_with_what_to_measure():
    assert check("rcf_g", Condition("min", 2000.0), None) == Finding(
        "rcf_g",
        Verdict.UNKNOWN,
        f"rcf_g: needs at least 2{THIN}000{THIN}g, is not known",
        "measure or find rcf_g (greatest relative centrifugal force)",
    )


@pytest.mark.parametrize(
    ("condition", "spec", "reason", "settle"),
    [
        ({"min": 4}, "four", "needs at least 4, is given as four, expected a number", "a number"),
        (
            {"covers": [1, 2]},
            3,
            "needs 1–2, is given as 3, expected a range of two numbers, the lower first",
            "a range of two numbers, the lower first",
        ),
        ({"is": True}, 1, "needs yes, is given as 1, expected yes or no", "yes or no"),
        (
            {"has": [1, 2]},
            "one",
            "needs 1, 2, is given as one, expected a list of numbers",
            "a list of numbers",
        ),
    ],
)
def test_a_specification_of_another_kind_comes_with_the_kind_that_is_expected(
    condition, spec, reason, settle
):
    assert check("x", parse_condition(condition), parse_spec(spec)) == Finding(
        "x", Verdict.UNKNOWN, f"x: {reason}", f"state x as {settle}"
    )


def test_a_model_that_serves_another_class_does_not_meet_the_need():
    found = match(need("centrifuge"), device_model("scope", serves("microscope")))

    assert found == Match(
        Verdict.NOT_MET, (Finding("class", Verdict.NOT_MET, "serves no centrifuge"),)
    )


def test_a_need_without_conditions_is_met_by_the_class_alone():
    found = match(need("timer"), device_model("clock", serves("timer")))

    assert found == Match(Verdict.MET, ())


def test_one_failed_condition_fails_the_need_whatever_is_unknown_beside_it():
    spinner = device_model("spinner", serves("centrifuge", rcf_g=9_999))
    wanted = need("centrifuge", rcf_g={"between": PACKED_CELLS_RCF_G}, capillaries={"min": 12})

    assert match(wanted, spinner).verdict is Verdict.NOT_MET


def test_one_unknown_condition_leaves_the_need_open_and_names_the_model_to_measure():
    folded = device_model("folded", serves("microscope", magnification=1000), name="Folded scope")
    wanted = need("microscope", magnification={"min": 1000}, na={"min": 1.25})

    found = match(wanted, folded)

    assert found.verdict is Verdict.UNKNOWN
    assert [finding.settle for finding in found.findings] == [
        "",
        "measure or find na (numerical aperture) of Folded scope",
    ]


@pytest.mark.parametrize(
    ("roles", "best", "reached"),
    [
        ([12_000, 400], Verdict.MET, 400),
        ([12_000, None], Verdict.UNKNOWN, None),
        ([12_000, 300], Verdict.NOT_MET, 12_000),
    ],
)
def test_the_best_role_of_a_model_counts(roles, best, reached):
    entries = [serves("centrifuge", **({"rcf_g": r} if r else {})) for r in roles]
    wanted = need("centrifuge", rcf_g={"between": SEDIMENT_RCF_G})

    found = match(wanted, device_model("two-speed", *entries))

    spec = None if reached is None else float(reached)
    expected = check("rcf_g", Condition("between", (360.0, 480.0)), spec)
    assert (found.verdict, [f.reason for f in found.findings]) == (best, [expected.reason])


def test_of_equally_good_roles_the_one_short_of_fewest_conditions_is_told_of():
    far = serves("centrifuge", rcf_g=300, tubes=2)
    near = serves("centrifuge", rcf_g=300, tubes=4)
    wanted = need("centrifuge", rcf_g={"min": 400}, tubes={"min": 4})

    found = match(wanted, device_model("two-speed", far, near))

    assert [finding.verdict for finding in found.findings] == [Verdict.NOT_MET, Verdict.MET]


def test_needs_are_the_same_when_class_and_conditions_are_whatever_the_hours():
    found = suitability(
        case(
            tests=[lab_test("t")],
            methods=[
                method("a", "t", need("bath", hours=1, temp={"is": 1}), need("timer")),
                method("b", "t", need("timer", hours=2), need("bath", temp={"is": 1})),
                method("c", "t", need("bath", temp={"is": True}), need("timer", x={"has": [1, 2]})),
                method("d", "t", need("timer", x={"has": [2, 1]})),
                method("e", "t"),
            ],
        )
    )

    assert found.method_needs == ((0, 1), (1, 0), (2, 3), (3,), ())
    assert [need_in_words(each) for each in found.needs] == [
        "bath with temp 1",
        "timer",
        "bath with temp yes",
        "timer with x 1, 2",
    ]


def test_suitability_tells_what_suits_from_what_may_suit_and_from_weak_evidence():
    found = suitability(
        case(
            minimum_evidence="B",
            device_models=[
                device_model("strong", serves("centrifuge", rcf_g=2_000), evidence="A"),
                device_model("weak", serves("centrifuge", rcf_g=1_999), evidence="B"),
                device_model("silent", serves("centrifuge"), evidence="B"),
                device_model("claimed", serves("centrifuge", rcf_g=2_000), evidence="C"),
                device_model("silent-claim", serves("centrifuge"), evidence="D"),
            ],
            tests=[lab_test("t")],
            methods=[method("plasma", "t", need("centrifuge", rcf_g={"min": 2_000}))],
        )
    )

    assert found.verdicts.tolist() == [[2, 0, 1, 2, 1]]
    assert found.accepted.tolist() == [True, True, True, False, False]
    assert found.suits.tolist() == [[True, False, False, False, False]]
    assert found.may_suit.tolist() == [[False, False, True, False, False]]


def test_a_case_without_methods_or_models_has_an_empty_suitability():
    found = suitability(case())

    assert (found.needs, found.verdicts.shape, found.method_needs) == ((), (0, 0), ())


numbers = st.integers(0, 3).map(float)
scalars = numbers | st.booleans() | st.sampled_from(["LED", "mirror"])
specs = st.none() | scalars | st.lists(scalars, max_size=3).map(tuple)
pairs = st.tuples(numbers, numbers).map(lambda pair: tuple(sorted(pair)))
conditions = st.one_of(
    st.builds(Condition, st.sampled_from(["min", "max"]), numbers),
    st.builds(Condition, st.sampled_from(["between", "covers"]), pairs),
    st.builds(Condition, st.just("is"), scalars),
    st.builds(Condition, st.just("has"), st.lists(scalars, min_size=1, max_size=3).map(tuple)),
)
NUMBER = {"type": "number"}


def as_json_schema(condition: Condition) -> dict:
    """The condition in the words of JSON Schema 2020-12, which has its own rules of equality."""
    value = condition.value
    match condition.comparator:
        case "min":
            return {**NUMBER, "minimum": value}
        case "max":
            return {**NUMBER, "maximum": value}
        case "between":
            return {**NUMBER, "minimum": value[0], "maximum": value[1]}
        case "covers":
            ends = [{**NUMBER, "maximum": value[0]}, {**NUMBER, "minimum": value[1]}]
            return {"type": "array", "prefixItems": ends, "items": False, "minItems": 2}
        case "is":
            return {"const": value}
        case "has":
            return {"allOf": [{"contains": {"const": item}} for item in value]}


@given(conditions, specs)
def test_met_is_what_a_json_schema_validator_accepts(condition, spec):
    listed = list(spec) if isinstance(spec, tuple) else spec
    instance = [spec] if condition.comparator == "has" and listed is spec else listed
    accepted = jsonschema.Draft202012Validator(as_json_schema(condition)).is_valid(instance)

    found = check("x", condition, spec)

    assert (found.verdict is Verdict.MET) == accepted


requirements = st.dictionaries(st.sampled_from("xyz"), conditions, max_size=3)
role_specs = st.dictionaries(st.sampled_from("xyz"), specs.filter(lambda s: s is not None))


@given(
    st.lists(st.tuples(st.sampled_from("ab"), requirements), min_size=1, max_size=4),
    st.lists(st.lists(st.tuples(st.sampled_from("ab"), role_specs), max_size=3), max_size=4),
)
def test_the_matrix_of_a_case_is_what_each_need_and_model_give_by_themselves(asked, offered):
    needs = [
        need(name, **{a: condition.as_json() for a, condition in require.items()})
        for name, require in asked
    ]
    models = [
        device_model(f"m{i}", *(serves(name, **of) for name, of in roles))
        for i, roles in enumerate(offered)
    ]
    built = case(tests=[lab_test("t")], methods=[method("m", "t", *needs)], device_models=models)

    found = suitability(built)

    of_case = found.verdicts[list(found.method_needs[0])]
    one_by_one = [[match(each, model).verdict for model in models] for each in needs]
    assert np.array_equal(of_case, np.array(one_by_one).reshape(len(needs), len(models)))
