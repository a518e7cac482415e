"""Three readings of the conditions agree: the judge's, the planner's, the tests' own."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.allocation.verify.facts import facts_of
from planner.engine.allocation.verify.fitness import satisfies
from planner.engine.conditions import parse_condition, parse_spec
from planner.engine.matching import Verdict, check
from tests.factories.results import three_sites
from tests.independent.random_cases import random_case
from tests.independent.suiting import is_met, suiting_models

# Few values, so that equal ones meet often.
numbers = st.sampled_from([-1, 0, 1, 1.0, 2.5, 400, 1000])
scalars = numbers | st.sampled_from(["", "1", "led", "LED"]) | st.booleans()
lists = st.lists(scalars, min_size=1, max_size=3)
spec_lists = st.lists(scalars, max_size=3)  # empty: there is none
pairs = st.tuples(numbers, numbers).map(sorted)
conditions = (
    st.fixed_dictionaries({"min": numbers})
    | st.fixed_dictionaries({"max": numbers})
    | st.fixed_dictionaries({"between": pairs})
    | st.fixed_dictionaries({"covers": pairs})
    | st.fixed_dictionaries({"is": scalars})
    | st.fixed_dictionaries({"has": lists})
)


@given(condition=conditions, spec=scalars | spec_lists | pairs)
def test_the_judge_the_planner_and_the_tests_read_a_condition_alike(condition, spec):
    condition, spec = parse_condition(condition), parse_spec(spec)

    judged = satisfies(spec, condition)

    assert judged == (check("attribute", condition, spec).verdict is Verdict.MET)
    assert judged == is_met(condition, spec)


@pytest.mark.parametrize(
    ("condition", "spec", "met"),
    [
        ({"min": 1000}, 1000, True),
        ({"min": 1000}, 999.9, False),
        ({"max": 2}, 2, True),
        ({"max": 2}, 2.1, False),
        ({"between": [360, 600]}, 360, True),
        ({"between": [360, 600]}, 601, False),
        ({"covers": [15, 30]}, [15, 30], True),
        ({"covers": [15, 30]}, [16, 40], False),
        ({"covers": [15, 30]}, [10, "hot"], False),
        ({"covers": [15, 30]}, [10, 20, 30], False),
        ({"is": True}, True, True),
        ({"is": True}, 1, False),
        ({"has": [570, 880]}, [880, 570, 405], True),
        ({"has": [570, 880]}, [570], False),
        ({"has": [570]}, 570, True),
        ({"min": 1000}, "1000", False),
    ],
)
def test_conditions_are_read_as_the_case_format_says(condition, spec, met):
    assert satisfies(parse_spec(spec), parse_condition(condition)) is met


def test_an_aperture_that_is_not_stated_suits_no_need_for_one():
    case = three_sites().model_copy(update={"minimum_evidence": "D"})

    suiting = facts_of(case).suiting

    assert suiting["malaria-smear", 0] == {"micro-led"}
    assert suiting["urine-sediment", 1] == {"micro-led", "micro-fold"}


@pytest.mark.parametrize("seed", range(50))
def test_the_judge_finds_the_same_suiting_models_as_the_tests(seed):
    case = random_case(seed)

    expected = {
        (method.code, number): {model.code for model in suiting_models(case, need)}
        for method in case.methods
        for number, need in enumerate(method.needs)
    }

    assert facts_of(case).suiting == expected
