"""Reading a document: every mistake at once, each with its place and what was expected."""

import difflib
import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, TypeVar

import rfc8785
from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails, from_json

from planner.engine.errors import InputError
from planner.engine.places import Step, place, shown
from planner.engine.references import References
from planner.engine.schemas import expectation, known_keys, without_choices
from planner.engine.versions import problems_of_version

Model = TypeVar("Model", bound=BaseModel)

_SYNTAX = (  # what the parser says, for those who do not know parsers
    ("EOF while parsing", "the text ends too early"),
    ("number out of range", "a number of more than 4300 digits"),
    ("recursion limit exceeded", "nested too deeply"),
    ("trailing characters", "something follows the end of the document"),
    ("unexpected end of hex escape", r"a \u escape that stands for no character"),
)


def read_document(
    model: type[Model], source: Path | str | bytes, *, what: str, references: References
) -> Model:
    """Read ``source`` (a file or JSON text, UTF-8) as ``model``.

    Raises ``InputError`` naming every repeated key, missing or unknown key, wrong type,
    number out of range, repeated code and dangling code of the document.
    """
    text = _text(source, what)
    raw = _parse(text, what)
    missing, unknown = problems_of_version(model, raw)
    problems = [*missing, *unknown, *_repeated_keys(raw), *references.problems(raw)]
    try:
        document = model.model_validate_json(text)
    except ValidationError as error:
        details = _mistakes(error)
        lines = [_line(model, detail) for detail in details[: InputError.SHOWN]]
        raise InputError(what, lines + problems, count=len(details) + len(problems)) from error
    if problems:
        raise InputError(what, problems)
    return document


def canonical_sha256(values: dict[str, Any]) -> str:
    """SHA-256 of ``values`` as canonical JSON (RFC 8785), in hexadecimal."""
    return hashlib.sha256(rfc8785.dumps(values)).hexdigest()


def _text(source: Path | str | bytes, what: str) -> str:
    if isinstance(source, str):
        content = source.encode("utf-8", "surrogatepass")
    elif isinstance(source, Path):
        try:
            content = source.read_bytes()
        except OSError as error:
            raise InputError(what, [f"{source}: cannot be read ({error.strerror})"]) from error
    else:
        content = source
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        problem = f"line {line}: byte 0x{content[error.start]:02x} is not UTF-8"
        raise InputError(what, [f"{problem}; save the file as UTF-8"]) from error


class _Repeating(dict[str, Any]):
    """An object of which some keys stand more than once (the last of each is kept)."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        keys = [key for key, _ in pairs]
        self.counts = {key: keys.count(key) for key in self if keys.count(key) > 1}


def _parse(text: str, what: str) -> Any:
    """The plain values of ``text``; an object with repeated keys comes out ``_Repeating``."""
    try:
        # First by the stricter parser: json.loads lets half a surrogate pair pass, which
        # no UTF-8 file can hold, and gives no line for nesting that is too deep.
        from_json(text)
    except ValueError as error:
        problem, _, position = str(error).rpartition(" at line ")
        problem = next((said for start, said in _SYNTAX if problem.startswith(start)), problem)
        where = f"line {position.replace(' column', ', column')}"
        raise InputError(what, [f"{where}: not JSON ({problem})"]) from error
    return json.loads(text, object_pairs_hook=_object)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    return values if len(values) == len(pairs) else _Repeating(pairs)


def _repeated_keys(raw: Any) -> Iterator[str]:
    """A line for each key that stands more than once in one object, in document order."""
    ahead: list[tuple[tuple[Step, ...], Any]] = [((), raw)]
    while ahead:
        steps, value = ahead.pop()
        if isinstance(value, _Repeating):
            for key, count in value.counts.items():
                yield f"{place((*steps, key))}: this key stands {count} times in one object"
        inner: Iterable[tuple[Step, Any]] = ()
        if isinstance(value, dict):
            inner = value.items()
        elif isinstance(value, list):
            inner = enumerate(value)
        nested = [((*steps, step), part) for step, part in inner if isinstance(part, dict | list)]
        ahead.extend(reversed(nested))


def _mistakes(error: ValidationError) -> list[ErrorDetails]:
    # pydantic calls a list too short when entries in it are wrong, each of which it has
    # already named; only an empty list is too short for this format.
    details = error.errors(include_url=False)
    return [detail for detail in details if detail["type"] != "too_short" or not detail["input"]]


def _line(model: type[BaseModel], detail: ErrorDetails) -> str:
    """One mistake in words: its place, what the format expects there, and what was found."""
    loc, found = detail["loc"], shown(detail["input"])
    if detail["type"] == "extra_forbidden":
        return f"{place(without_choices(model, loc))}: unknown key{_similar(model, loc)}"
    if detail["type"] == "value_error":
        return f"{place(loc)}: expected {detail['ctx']['error']}, found {found}"
    steps, expected = expectation(model, loc)
    if detail["type"] == "missing":
        return f"{place(steps)}: this key is missing; expected {expected}"
    return f"{place(steps)}: expected {expected}, found {found}"


def _similar(model: type[BaseModel], steps: Sequence[Step]) -> str:
    [*owner, unknown] = steps
    near = difflib.get_close_matches(str(unknown), known_keys(model, owner), n=1, cutoff=0.8)
    return f"; did you mean {near[0]}?" if near else ""
