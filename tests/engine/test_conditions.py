"""Conditions and specifications as they stand in a case, and what is said of wrong ones."""

import math

import pytest
from hypothesis import given

from planner.engine.conditions import (
    COMPARATORS,
    Condition,
    parse_condition,
    parse_spec,
    spec_as_json,
)
from tests.factories.documents import json_values
from tests.factories.valid_documents import conditions, specs

KEYS = "an object with exactly one of the keys min, max, between, covers, is, has"


@pytest.mark.parametrize(
    ("raw", "condition"),
    [
        ({"min": 1000}, Condition("min", 1000.0)),
        ({"max": -0.5}, Condition("max", -0.5)),
        ({"between": [1, 2]}, Condition("between", (1.0, 2.0))),
        ({"covers": [540, 560]}, Condition("covers", (540.0, 560.0))),
        ({"is": "battery"}, Condition("is", "battery")),
        ({"is": True}, Condition("is", True)),
        ({"has": [570, "blue", False]}, Condition("has", (570.0, "blue", False))),
    ],
)
def test_each_comparator_is_read_with_its_operand(raw, condition):
    assert parse_condition(raw) == condition


def test_a_range_may_be_a_single_point_but_not_run_backwards():
    assert parse_condition({"between": [5, 5]}) == Condition("between", (5.0, 5.0))

    expected = r"^two numbers \[low, high\] after between, the lower one first$"
    with pytest.raises(ValueError, match=expected):
        parse_condition({"between": [5, math.nextafter(5, 0)]})


@pytest.mark.parametrize("raw", [5, None, "min", [], {}, {"least": 1}, {"min": 1, "max": 2}])
def test_what_is_not_one_comparator_is_refused_with_the_list_of_comparators(raw):
    with pytest.raises(ValueError, match=f"^{KEYS}$"):
        parse_condition(raw)


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        ({"min": "5"}, "a number after min"),
        ({"min": True}, "a number after min"),
        ({"max": math.nan}, "a number after max"),
        ({"max": 10**400}, "a number after max"),
        ({"between": 5}, "two numbers [low, high] after between"),
        ({"between": [1, 2, 3]}, "two numbers [low, high] after between"),
        ({"covers": [1, None]}, "two numbers [low, high] after covers"),
        ({"is": None}, "a number, text, true or false after is"),
        ({"is": [1]}, "a number, text, true or false after is"),
        ({"has": []}, "a list of at least one value after has"),
        ({"has": "blue"}, "a list of at least one value after has"),
        ({"has": [[1]]}, "a list of at least one value after has"),
    ],
)
def test_a_wrong_operand_is_refused_with_what_belongs_there(raw, expected):
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 - the whole text is compared
        parse_condition(raw)

    assert str(refusal.value) == expected


@pytest.mark.parametrize("raw", [None, {"min": 1}, [[1]], [None], math.inf, 10**400])
def test_a_specification_is_a_number_text_truth_value_or_a_list_of_those(raw):
    with pytest.raises(ValueError, match=r"^a number, text, true or false, or a list of those$"):
        parse_spec(raw)


def test_a_truth_value_stays_one_and_does_not_become_a_number():
    assert parse_spec(True) is True
    assert [type(value) for value in parse_spec([True, 1])] == [bool, float]


@given(specs)
def test_a_specification_survives_being_written_and_read(raw):
    assert spec_as_json(parse_spec(raw)) == raw


@given(conditions)
def test_a_condition_survives_being_written_and_read(raw):
    condition = parse_condition(raw)

    assert condition.as_json() == raw
    assert parse_condition(condition.as_json()) == condition


@given(json_values)
def test_any_json_value_is_read_or_refused_and_nothing_else(raw):
    try:
        condition = parse_condition(raw)
    except ValueError:
        return

    assert condition.comparator in COMPARATORS
