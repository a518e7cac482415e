"""The JSON Schema of a document, and what it says in words about one place.

The types are the only statement of the format. The schema is made from them, and the
words of an error message are read from the schema, so the three cannot disagree.
"""

from collections.abc import Sequence
from functools import cache
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema
from pydantic_core import core_schema

from planner.engine.places import Step, shown

Schema = dict[str, Any]

_NOUNS = {
    "array": "a list",
    "integer": "a whole number",
    "null": "null",
    "number": "a number",
    "object": "an object",
    "string": "text",
}
SINCE = "since"
"""The mark of a key that came with a later version than the first."""
_KEY = "[key]"  # how pydantic marks that a key, not its value, is at fault


class _Generator(GenerateJsonSchema):
    """Says of a key's pattern that *every* key must match it, and titles types only."""

    def dict_schema(self, schema: core_schema.DictSchema) -> Schema:
        written = super().dict_schema(schema)
        if "patternProperties" in written:
            [(_, values)] = written.pop("patternProperties").items()
            written["additionalProperties"] = values
            written["propertyNames"] = self.generate_inner(schema["keys_schema"])
        return written

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False


@cache
def schema_of(model: type[BaseModel]) -> Schema:
    """The JSON Schema (2020-12) of ``model``; cached, so not to be changed."""
    schema = model.model_json_schema(by_alias=True, schema_generator=_Generator)
    return {"$schema": GenerateJsonSchema.schema_dialect, **schema}


def expectation(model: type[BaseModel], steps: Sequence[Step]) -> tuple[Sequence[Step], str]:
    """Where a mistake that pydantic found at ``steps`` stands, and what is expected there.

    The words follow "expected": ``a number ≥ 0``, ``text of 1 to 100 characters``.
    """
    schema = schema_of(model)
    steps = without_choices(model, steps)
    if steps[-1:] == (_KEY,):
        names = _reached(schema, steps[:-2]).get("propertyNames")
        if names is not None:
            return steps[:-2], f"each key to be {_words({'type': 'string', **names})}"
    return steps, _words(_reached(schema, steps))


def known_keys(model: type[BaseModel], steps: Sequence[Step]) -> list[str]:
    """The keys that an object at ``steps`` may have."""
    return list(_reached(schema_of(model), steps).get("properties", ()))


def without_choices(model: type[BaseModel], steps: Sequence[Step]) -> Sequence[Step]:
    """``steps`` without the names of choices, which pydantic puts where kinds of objects part."""
    schema = schema_of(model)
    return tuple(
        step
        for number, step in enumerate(steps)
        if step not in _choices(_reached(schema, steps[:number]))
    )


def _choices(schema: Schema) -> Schema:
    """By the name of each choice, where its kind of object is defined."""
    choices: Schema = schema.get("discriminator", {}).get("mapping", {})
    return choices


def _reached(schema: Schema, steps: Sequence[Step]) -> Schema:
    here = schema
    for step in steps:
        if isinstance(step, int):
            here = here.get("items", {})
        elif step in (choices := _choices(here)):
            here = {"$ref": choices[step]}
        else:
            inside: Schema = here.get("properties", _of_every_choice(schema, here))
            other = here.get("additionalProperties")
            here = inside.get(step) or (other if isinstance(other, dict) else {})
        if "$ref" in here:
            here = schema["$defs"][here["$ref"].rpartition("/")[2]]
    return here


def _of_every_choice(schema: Schema, here: Schema) -> Schema:
    """The keys of all kinds of objects that may stand at one place."""
    found: Schema = {}
    for reference in _choices(here).values():
        found |= schema["$defs"][reference.rpartition("/")[2]]["properties"]
    return found


def _words(schema: Schema) -> str:
    match schema:
        case {"discriminator": {"propertyName": key, "mapping": kinds}}:
            return f"an object whose {key} is one of {', '.join(shown(kind) for kind in kinds)}"
        case {"anyOf": [*choices]}:
            return " or ".join(_words(choice) for choice in choices)
        case {"const": value}:
            return shown(value)
        case {"enum": [*values]}:
            return f"one of {', '.join(shown(value) for value in values)}"
        case {"type": "string", "pattern": _, "description": str(description)}:
            return description
        case {"type": "string", "minLength": low, "maxLength": high}:
            return f"text of {low} to {high} characters"
        case {"type": "array", "minItems": 1}:
            return "a list with at least one entry"
        case {"type": "number" | "integer", "minimum": low, "maximum": high}:
            return f"{_NOUNS[schema['type']]} from {low} to {high}"
        case {"type": "number" | "integer", "minimum": low}:
            return f"{_NOUNS[schema['type']]} ≥ {low}"
    return _NOUNS[schema["type"]]
