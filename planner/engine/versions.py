"""The versions of a document: which keys came with version 2, and the schema of each version.

The types hold the newest version; a key that version 1 does not have is marked where it is
defined, and everything here is read from those marks.
"""

from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from typing import Any

from pydantic import BaseModel

from planner.engine.places import Step, place
from planner.engine.references import walk
from planner.engine.schemas import SINCE, Schema, expectation, schema_of

VERSIONS = (1, 2)


@cache
def later_keys(model: type[BaseModel]) -> tuple[tuple[str, str], ...]:
    """Keys that version 1 does not have: the path of the object that holds each, and the key.

    The document itself has the empty path.
    """
    schema = schema_of(model)
    return tuple(_marked(schema, schema, ""))


def problems_of_version(model: type[BaseModel], raw: Any) -> tuple[list[str], list[str]]:
    """Lines about keys that the version of ``raw`` asks for and that are not there, and about
    keys that it does not have."""
    missing: list[str] = []
    unknown: list[str] = []
    version = raw.get("version") if isinstance(raw, dict) else None
    if isinstance(version, bool) or version not in VERSIONS:
        return missing, unknown  # which keys it should have is not known
    for path, key in later_keys(model):
        for steps, owner in walk(raw, path) if path else [((), raw)]:
            if isinstance(owner, dict) and (key in owner) != (version == 2):
                at = (*steps, key)
                if version == 2:
                    expected = expectation(model, at)[1]
                    missing.append(f"{place(at)}: this key is missing; expected {expected}")
                else:
                    unknown.append(f"{place(at)}: unknown key; it came with version 2")
    return missing, unknown


def said_too_early(document: BaseModel) -> list[str]:
    """Places of a document of version 1 that say what only version 2 can say."""
    return [
        place((*steps, key))
        for path, key in later_keys(type(document))
        for steps, owner in _owners(document, path)
        if getattr(owner, key) != type(owner).model_fields[key].default
    ]


def _owners(document: BaseModel, path: str) -> Iterator[tuple[tuple[Step, ...], BaseModel]]:
    """The objects that ``path`` leads to; names in it are those of the attributes."""
    found: list[tuple[tuple[Step, ...], Any]] = [((), document)]
    for name in filter(None, path.split(".")):
        inner = [
            ((*steps, name.rstrip("[]")), getattr(owner, name.rstrip("[]")))
            for steps, owner in found
        ]
        found = inner
        if name.endswith("[]"):
            found = [((*steps, n), each) for steps, many in inner for n, each in enumerate(many)]
    yield from found


@cache
def keys_beyond(model: type[BaseModel], version: int) -> dict[str, Any]:
    """What a dump of ``version`` leaves out, in the form that pydantic's ``exclude`` takes."""
    left_out: dict[str, Any] = {}
    for path, key in later_keys(model) if version == 1 else ():
        owner = left_out
        for step in filter(None, path.split(".")):
            owner = owner.setdefault(step.removesuffix("[]"), {})
            if step.endswith("[]"):
                owner = owner.setdefault("__all__", {})
        owner[key] = True
    return left_out


def schema_of_version(model: type[BaseModel], version: int) -> Schema:
    """The JSON Schema of one version of ``model``: exactly its keys, all of them required."""
    schema = deepcopy(schema_of(model))
    definitions = schema.get("$defs", {})
    for part in (schema, *definitions.values()):
        if "properties" in part:
            _keep(part, version)
    schema["properties"]["version"] = {"const": version, "type": "integer"}
    used = set(_referred_to(schema, definitions))
    schema["$defs"] = {name: part for name, part in definitions.items() if name in used}
    return schema


def _keep(part: Schema, version: int) -> None:
    kept = {
        key: {word: said for word, said in value.items() if word not in (SINCE, "default")}
        for key, value in part["properties"].items()
        if value.get(SINCE, 1) <= version
    }
    part |= {"properties": kept, "required": list(kept)}


def _referred_to(part: Any, definitions: Schema) -> Iterator[str]:
    """Names of the definitions that ``part`` uses, at any depth."""
    if isinstance(part, list):
        for entry in part:
            yield from _referred_to(entry, definitions)
    elif isinstance(part, dict):
        for key, value in part.items():
            if key == "$ref":
                name = value.rpartition("/")[2]
                yield name
                yield from _referred_to(definitions[name], definitions)
            elif key != "$defs":
                yield from _referred_to(value, definitions)


def _marked(schema: Schema, part: Schema, path: str) -> Iterator[tuple[str, str]]:
    for key, value in part.get("properties", {}).items():
        if SINCE in value:
            yield path, key
            continue
        here, inner = f"{path}.{key}" if path else key, value
        if value.get("type") == "array":
            here, inner = f"{here}[]", value["items"]
        if "$ref" in inner:
            name = inner["$ref"].rpartition("/")[2]
            yield from _marked(schema, schema["$defs"][name], here)
