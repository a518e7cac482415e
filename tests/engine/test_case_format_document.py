"""``planner/docs/case-format.md`` against the format that the engine reads."""

import json
from pathlib import Path

import pytest

from planner.engine.case import Case, json_schemas
from planner.engine.conditions import COMPARATORS
from planner.engine.errors import InputError
from tests.factories.documents import EXAMPLE, example, without

DOCUMENT = Path(__file__).resolve().parents[2] / "planner" / "docs" / "case-format.md"
TEXT = DOCUMENT.read_text(encoding="utf-8")


def keys_of(schema) -> set[str]:
    """Every key that ``schema`` names, at any depth, but for the comparators."""
    definitions = [schema, *schema["$defs"].values()]
    return {key for part in definitions for key in part["properties"]} - set(COMPARATORS)


@pytest.mark.parametrize("schema", json_schemas().values(), ids=json_schemas())
def test_the_document_names_every_key_of_the_format(schema):
    named = {key for key in keys_of(schema) if f"`{key}`" in TEXT or f"`{key}[]`" in TEXT}

    assert named == keys_of(schema)


@pytest.mark.parametrize("comparator", COMPARATORS)
def test_the_document_shows_every_comparator(comparator):
    assert f'`{{"{comparator}": ' in TEXT


@pytest.mark.parametrize(
    "document",
    [
        example((("sites", 2, "demand", "malaria"), "many")),
        without("sites", 0, "latitude"),
        example((("limits", "capitol"), 1)),
        example((("stock", 2, "site"), "millford"), (("stock", 2, "model"), "micro-led")),
        example((("links", 1, "to"), "Millford")),
        json.dumps(EXAMPLE).replace('"capital": 1500', '"capital": 1500, "capital": 1'),
        json.dumps(EXAMPLE, indent=1).replace('"max_units": 2', '"max_units": 2,'),
    ],
)
def test_the_lines_that_the_document_shows_are_the_lines_that_are_said(document):
    with pytest.raises(InputError) as refused:
        Case.read(document if isinstance(document, str) else json.dumps(document))

    [line] = refused.value.problems
    assert f"\n{line}\n" in TEXT
