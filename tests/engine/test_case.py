"""A case is what its JSON says, and its digest names exactly that."""

import json

import pytest
from hypothesis import given
from pydantic import ValidationError

from planner.engine.case import Case, Result
from tests.factories.documents import (
    EXAMPLE,
    EXAMPLE_PATH,
    example,
    numbers,
    part_at,
)
from tests.factories.valid_documents import valid_cases

EXAMPLE_DIGEST = "513a8e2f691c5bb3e67d67dc4abb4ad0825856730896fd8136f8412d5c2b950e"


def digest(document) -> str:
    return Case.read(json.dumps(document)).sha256()


def reordered(document):
    """The same JSON with the keys of every object in the opposite order."""
    if isinstance(document, dict):
        return {key: reordered(document[key]) for key in reversed(document)}
    if isinstance(document, list):
        return [reordered(entry) for entry in document]
    return document


def as_floats(document):
    """The same JSON with 900.0 wherever it said 900."""
    if isinstance(document, dict):
        return {key: as_floats(part) for key, part in document.items()}
    if isinstance(document, list):
        return [as_floats(entry) for entry in document]
    return float(document) if type(document) is int else document


def test_the_example_is_read_as_it_stands():
    case = Case.read(EXAMPLE_PATH)

    assert case.to_json() == EXAMPLE
    assert [site.code for site in case.sites] == ["ashbrook", "millford", "thornley"]
    assert case.limits.recurrent == 3500
    assert type(case.limits.recurrent) is float


def test_the_digest_of_the_example_has_not_changed():
    assert Case.read(EXAMPLE_PATH).sha256() == EXAMPLE_DIGEST


def test_whole_numbers_and_the_same_numbers_with_a_point_make_equal_cases():
    assert Case.read(json.dumps(as_floats(EXAMPLE))) == Case.read(EXAMPLE_PATH)
    assert digest(as_floats(EXAMPLE)) == EXAMPLE_DIGEST


def test_the_order_of_keys_and_the_white_space_are_irrelevant_to_the_digest():
    assert digest(reordered(EXAMPLE)) == EXAMPLE_DIGEST
    assert Case.read(json.dumps(EXAMPLE, indent=7)).sha256() == EXAMPLE_DIGEST


def test_the_order_of_entries_in_a_list_is_part_of_the_case():
    assert digest(example((("areas",), EXAMPLE["areas"][::-1]))) != EXAMPLE_DIGEST


NUMBERS = [steps for steps in numbers(EXAMPLE) if steps != ("version",)]


def test_a_change_of_any_single_number_changes_the_digest():
    digests = {EXAMPLE_DIGEST}
    for steps in NUMBERS:
        old = part_at(EXAMPLE, steps)
        # One way is a valid change of every number here: shares and ranges end at 0 or 1.
        new = old + 1 if isinstance(old, int) and "between" not in steps else old * 0.999 + 1e-9
        digests.add(digest(example((steps, new))))

    assert len(digests) == 1 + len(NUMBERS)


def test_a_change_of_one_letter_changes_the_digest():
    assert digest(example((("sites", 0, "name"), "Ashbrook Health Post"))) != EXAMPLE_DIGEST


@given(valid_cases())
def test_every_case_that_keeps_the_rules_is_read_and_survives_being_written(document):
    case = Case.read(json.dumps(document))

    again = Case.read(json.dumps(case.to_json()))

    assert case.to_json() == document
    assert again == case
    assert again.sha256() == case.sha256()


@given(valid_cases())
def test_text_in_plain_ascii_and_in_utf8_makes_the_same_case(document):
    plain, utf8 = json.dumps(document), json.dumps(document, ensure_ascii=False).encode()

    assert Case.read(utf8) == Case.read(plain)


def test_a_case_cannot_be_changed():
    case = Case.read(EXAMPLE_PATH)

    with pytest.raises(ValidationError, match="Instance is frozen"):
        case.limits.capital = 1e9


RESULT = {
    "format": "benchward-result",
    "version": 1,
    "case_sha256": EXAMPLE_DIGEST,
    "status": "infeasible",
    "objective": None,
    "bound": None,
    "gap": None,
    "seconds": 0.25,
    "solver": "none",
    "money": {"capital": 0, "recurrent": 0, "earmarks": {"malaria": 0}},
    "actions": [
        {"site": "ashbrook", "kind": "buy", "item": "spin-hand", "quantity": 1, "cost": 45}
    ],
    "volumes": [{"from": "ashbrook", "at": "millford", "method": "afb-direct", "per_year": 1.5}],
    "objective_before": 0,
    "reasons": [{"limit": "capital", "stated": 0, "needed": 45, "text": "capital is short"}],
}


def test_a_result_survives_being_written_and_read():
    result = Result.read(json.dumps(RESULT))

    assert result.to_json() == RESULT
    assert Result.read(json.dumps(result.to_json())) == result
