"""Reading a document: every mistake at once, each with its place and what was expected."""

import hashlib
import json
from pathlib import Path
from typing import Any, TypeVar

import rfc8785
from pydantic import BaseModel, ValidationError

from planner.engine.errors import InputError
from planner.engine.references import References

Model = TypeVar("Model", bound=BaseModel)

_BOUND_SIGNS = {"ge": "≥", "gt": ">", "le": "≤", "lt": "<"}
_SHOWN_VALUE_LENGTH = 60


def read_document(
    model: type[Model], source: Path | str | bytes, *, what: str, references: References
) -> Model:
    """Read ``source`` (a file or JSON text, UTF-8) as ``model``.

    Raises ``InputError`` naming every repeated key, wrong type, unknown key, number out of
    range, repeated code and dangling code of the document.
    """
    text = _text(source, what)
    raw, problems = _parse(text, what)
    document: Model | None = None
    try:
        document = model.model_validate_json(text)
    except ValidationError as error:
        problems += [_worded(details) for details in error.errors(include_url=False)]
    problems += references.problems(raw)
    if problems or document is None:
        raise InputError(what, problems)
    return document


def canonical_sha256(values: dict[str, Any]) -> str:
    """SHA-256 of ``values`` as canonical JSON (RFC 8785), in hexadecimal."""
    return hashlib.sha256(rfc8785.dumps(values)).hexdigest()


def _text(source: Path | str | bytes, what: str) -> str:
    try:
        content = source.read_bytes() if isinstance(source, Path) else source
    except OSError as error:
        raise InputError(what, [f"{source!s}: cannot be read ({error.strerror})"]) from error
    if isinstance(content, str):
        return content
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        place = f"byte {error.start}"
        raise InputError(what, [f"{place}: expected UTF-8 text; save the file as UTF-8"]) from error


def _parse(text: str, what: str) -> tuple[Any, list[str]]:
    """The plain JSON values of ``text``, and a line for each key that stands twice."""
    problems: list[str] = []

    def without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        values = dict(pairs)
        if len(values) < len(pairs):
            keys = [key for key, _ in pairs]
            owner = values.get("code")
            place = f"object with code {json.dumps(owner)}" if isinstance(owner, str) else "object"
            problems.extend(
                f"{place}: the key {json.dumps(key)} stands {keys.count(key)} times"
                for key in values
                if keys.count(key) > 1
            )
        return values

    try:
        raw = json.loads(text, object_pairs_hook=without_repeats)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise InputError(what, [f"{place}: not JSON ({error.msg})"]) from error
    except (RecursionError, ValueError) as error:
        raise InputError(what, [f"the document: not usable JSON ({error})"]) from error
    return raw, problems


def _worded(details: Any) -> str:
    place = _place(details["loc"])
    kind, context, found = details["type"], details.get("ctx", {}), details["input"]
    if kind == "missing":
        return f"{place}: this key is missing"
    if kind == "extra_forbidden":
        return f"{place}: unknown key"
    return f"{place}: expected {_expected(kind, context, details['msg'])}, found {_shown(found)}"


def _expected(kind: str, context: dict[str, Any], message: str) -> str:
    """What stands in the format at this place, for the reader of an error message."""
    bound = next((name for name in _BOUND_SIGNS if name in context), None)
    if bound is not None:
        return f"a number {_BOUND_SIGNS[bound]} {context[bound]:g}"
    if kind == "value_error":
        return str(context["error"]).removeprefix("expected ")
    fixed = {
        "float_type": "a number",
        "float_parsing": "a number",
        "finite_number": "a finite number",
        "int_type": "a whole number",
        "int_from_float": "a whole number",
        "int_parsing": "a whole number",
        "string_type": "text",
        "string_too_short": "text that is not empty",
        "tuple_type": "a list",
        "too_short": "a list with at least one entry",
        "dict_type": "an object",
        "model_type": "an object",
        "model_attributes_type": "an object",
        "mapping_type": "an object",
        "json_invalid": "JSON",
    }
    if kind in fixed:
        return fixed[kind]
    if "expected" in context:
        return str(context["expected"])
    if "pattern" in context:
        return f"text of the form {context['pattern']}"
    return message[0].lower() + message[1:]


def _place(loc: tuple[int | str, ...]) -> str:
    place = ""
    for step in loc:
        if isinstance(step, int):
            place += f"[{step}]"
        elif step != "[key]":
            place += f".{step}" if place else step
    return place or "the document"


def _shown(value: Any) -> str:
    try:
        text = json.dumps(value, ensure_ascii=False, default=str)
    except (ValueError, RecursionError):
        text = type(value).__name__
    return text if len(text) <= _SHOWN_VALUE_LENGTH else f"{text[:_SHOWN_VALUE_LENGTH]}..."
