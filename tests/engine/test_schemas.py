"""The JSON Schemas against the published dialect, and against the reader."""

import json
import re

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from planner.engine.case import Case, Result, json_schemas
from planner.engine.errors import InputError
from planner.engine.schemas import expectation, known_keys
from tests.engine.test_case import RESULT
from tests.factories.documents import EXAMPLE, EXAMPLE_2, example, mutated_examples
from tests.factories.valid_documents import valid_cases

SCHEMAS = json_schemas()
VALIDATORS = {name: Draft202012Validator(schema) for name, schema in SCHEMAS.items()}


def is_valid_case(document) -> bool:
    """Whether the schema of one of the versions accepts ``document``."""
    return any(VALIDATORS[name].is_valid(document) for name in ("case", "case-1"))


# What the reader knows beyond the schema: rules between places, and the order of two numbers.
BEYOND_THE_SCHEMA = re.compile(
    r"there is no entry with code|is already used at|is listed twice|must differ"
    r"|the lower one first|is more than"
)


def mistakes_of_structure(document) -> list[str]:
    """The reader's complaints about ``document`` that a schema could have made."""
    try:
        Case.read(json.dumps(document))
    except InputError as error:
        return [line for line in error.problems if not BEYOND_THE_SCHEMA.search(line)]
    return []


@pytest.mark.parametrize("schema", SCHEMAS.values(), ids=SCHEMAS)
def test_a_schema_keeps_the_rules_of_its_dialect(schema):
    # JSON Schema 2020-12: the meta-schema published at the address in "$schema".
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


def test_the_schemas_accept_the_example_and_a_result():
    VALIDATORS["case-1"].validate(EXAMPLE)
    VALIDATORS["case"].validate(EXAMPLE_2)
    VALIDATORS["result-1"].validate(RESULT)


def test_a_schema_accepts_only_its_own_version():
    assert not VALIDATORS["case"].is_valid(EXAMPLE)
    assert not VALIDATORS["case-1"].is_valid(EXAMPLE_2)


@given(valid_cases())
def test_the_schema_accepts_every_case_that_keeps_the_rules(document):
    assert is_valid_case(document)


@settings(max_examples=300)
@given(mutated_examples())
def test_the_reader_refuses_the_structure_exactly_where_the_schema_does(document):
    assert bool(mistakes_of_structure(document)) != is_valid_case(document)


def test_a_schema_handed_out_can_be_changed_without_changing_the_next():
    json_schemas()["case"]["required"].clear()

    assert json_schemas()["case"]["required"] == list(Case.model_fields)


def places_in(schema) -> list[dict]:
    """Every part of ``schema`` that is itself a schema with a type."""
    if isinstance(schema, list):
        return [part for entry in schema for part in places_in(entry)]
    if not isinstance(schema, dict):
        return []
    inner = [part for entry in schema.values() for part in places_in(entry)]
    return [schema, *inner] if isinstance(schema.get("type"), str) else inner


@pytest.mark.parametrize("schema", SCHEMAS.values(), ids=SCHEMAS)
def test_every_pattern_is_also_said_in_words(schema):
    patterns = [part for part in places_in(schema) if "pattern" in part]

    assert patterns
    assert all(part.get("description") for part in patterns)


@pytest.mark.parametrize("schema", SCHEMAS.values(), ids=SCHEMAS)
def test_no_object_accepts_keys_that_nobody_described(schema):
    objects = [part for part in places_in(schema) if part["type"] == "object"]

    assert all(part.get("additionalProperties") is not None for part in objects)


@pytest.mark.parametrize(
    ("model", "steps", "words"),
    [
        (Case, (), "an object"),
        (Case, ("sites",), "a list with at least one entry"),
        (Case, ("sites", 3, "demand", "malaria"), "a number ≥ 0"),
        (Case, ("sites", 3, "skills", 0), "text of 1 to 100 characters"),
        (Case, ("limits", "recurrent"), "a number ≥ 0 or null"),
        (Result, ("status",), 'one of "optimal", "feasible", "infeasible"'),
        (Result, ("gap",), "a number or null"),
        (Result, ("actions", 0, "quantity"), "a whole number from 1 to 9007199254740991"),
    ],
)
def test_the_schema_says_in_words_what_belongs_at_a_place(model, steps, words):
    assert expectation(model, steps) == (steps, words)


def test_what_a_key_must_be_is_said_at_the_object_that_holds_it():
    steps = ("infrastructure", 0, "cost", "II", "[key]")

    assert expectation(Case, steps) == (
        ("infrastructure", 0, "cost"),
        'each key to be a level as text in plain digits, such as "2"',
    )


def test_a_key_that_is_called_like_the_mark_of_a_wrong_key_is_a_key_like_any_other():
    document = example((("sites", 0, "demand", "[key]"), -1))

    assert mistakes_of_structure(document) == [
        'sites[0].demand["[key]"]: expected a number ≥ 0, found -1'
    ]


def test_the_known_keys_of_a_place_are_those_of_the_format():
    assert known_keys(Case, ("methods", 0, "needs", 0)) == ["class", "require", "hours"]
