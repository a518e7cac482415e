"""The grades of evidence, on both sides of each of their boundaries.

The rule is the project's own (``planner/engine/evidence.py``); no standard grades devices so.
"""

from dataclasses import replace

import pytest

from planner.engine.errors import EngineError
from planner.engine.evidence import GRADES, Evaluation, grade, missing

# An evaluation that falls short of nothing; each test spoils one thing.
FIELD = Evaluation(
    source="first-2024",
    setting="field",
    intended_users=True,
    peer_reviewed=True,
    limits_met=True,
    smallest_class=100,
)
SECOND = replace(FIELD, source="second-2025")
BENCH = Evaluation(source="bench-2023", setting="laboratory")


@pytest.mark.parametrize("approval", ["local", "stringent"])
def test_approved_and_accurate_in_the_hands_of_its_intended_users_is_a(approval):
    assert grade(approval, [BENCH, FIELD]) == "A"


@pytest.mark.parametrize(
    "spoiled", [{"setting": "laboratory"}, {"setting": None}, {"intended_users": False},
                {"intended_users": None}],
)  # fmt: skip
def test_approved_without_the_field_or_its_intended_users_is_b(spoiled):
    assert grade("local", [replace(FIELD, **spoiled)]) == "B"


def test_approval_alone_is_b():
    assert grade("local", []) == "B"


def test_two_independent_field_evaluations_are_b_even_without_approval():
    assert grade("none", [FIELD, SECOND]) == "B"


def test_no_number_of_evaluations_gives_a_without_approval():
    assert grade("none", [replace(FIELD, source=f"study-{n}") for n in range(9)]) == "B"


@pytest.mark.parametrize(
    "spoiled",
    [
        {"source": "first-2024"},  # not independent
        {"setting": "laboratory"},
        {"limits_met": False},
        {"limits_met": None},
        {"smallest_class": 99},
        {"smallest_class": None},
    ],
)
def test_two_evaluations_of_which_one_falls_short_are_c(spoiled):
    assert grade("none", [FIELD, replace(SECOND, **spoiled)]) == "C"


def test_one_evaluation_on_the_bench_is_c():
    assert grade("none", [BENCH]) == "C"


def test_an_evaluation_that_nobody_reviewed_is_a_claim():
    assert grade("none", [replace(BENCH, peer_reviewed=False)]) == "D"


def test_nothing_known_is_d():
    assert grade("none", []) == "D"


def test_an_approval_of_another_kind_is_refused():
    with pytest.raises(EngineError) as refusal:
        grade("pending", [])

    assert str(refusal.value) == (
        "approval is 'pending', which is none of none, local, stringent."
        " State none where no approval is known."
    )


def test_what_is_missing_names_the_next_grade():
    assert missing("local", [FIELD]) == ()
    assert missing("local", []) == (
        "a field evaluation of its accuracy in the hands of its intended users",
    )
    assert missing("none", [FIELD, SECOND]) == (
        "approval in the country, or by a recognised stringent authority",
    )
    assert missing("none", [FIELD]) == (
        "approval in the country, or one more independent field evaluation against a reference,"
        " with 100 people or more in each class and limits set beforehand kept",
    )
    assert missing("none", [BENCH]) == (
        "approval in the country, or 2 independent field evaluations against a reference,"
        " with 100 people or more in each class and limits set beforehand kept",
    )
    assert missing("none", []) == ("one evaluation against a reference, reviewed by peers",)


@pytest.mark.parametrize("approval", ["none", "local"])
def test_more_evidence_never_lowers_a_grade(approval):
    found, last = [], len(GRADES)
    for study in (replace(BENCH, peer_reviewed=False), BENCH, FIELD, SECOND):
        found.append(study)
        rank = GRADES.index(grade(approval, found))
        assert rank <= last
        last = rank
