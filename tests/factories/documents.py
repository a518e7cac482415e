"""Planning cases as plain JSON: the shipped example and changed copies of it.

For tests of the reader, which need documents that are *wrong*; ``cases`` builds right ones.
"""

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from tests.factories.versions import as_version_2

EXAMPLE_PATH = Path(__file__).resolve().parents[2] / "fixtures" / "cases" / "three-sites.json"
EXAMPLE = json.loads(EXAMPLE_PATH.read_text(encoding="utf-8"))
EXAMPLE_2 = as_version_2(EXAMPLE)
ASKING = json.loads(EXAMPLE_PATH.with_name("asking-more.json").read_text(encoding="utf-8"))

Steps = tuple[str | int, ...]


def example(*changes: tuple[Steps, Any]) -> dict[str, Any]:
    """The example with a value put at each place: ``(("sites", 0, "level"), -1)``."""
    document = copy.deepcopy(EXAMPLE)
    for (*owner, last), value in changes:
        part_at(document, tuple(owner))[last] = value
    return document


def without(*steps: str | int) -> dict[str, Any]:
    """The example without the key or entry at ``steps``."""
    document = copy.deepcopy(EXAMPLE)
    *owner, last = steps
    del part_at(document, tuple(owner))[last]
    return document


def part_at(document: Any, steps: Steps) -> Any:
    for step in steps:
        document = document[step]
    return document


def places(document: Any, steps: Steps = ()) -> Iterator[Steps]:
    """Every place of ``document``, itself first."""
    yield steps
    if isinstance(document, dict):
        for key, part in document.items():
            yield from places(part, (*steps, key))
    elif isinstance(document, list):
        for index, part in enumerate(document):
            yield from places(part, (*steps, index))


def numbers(document: Any) -> Iterator[Steps]:
    """The places of all numbers in ``document``."""
    for steps in places(document):
        if type(part_at(document, steps)) in (int, float):
            yield steps


# No line feeds: Python's "$" also matches before a last one, the "$" of ECMA-262, which
# JSON Schema means, does not; the validator that serves as the judge is in Python.
texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\n"), max_size=8)
finite = st.floats(allow_nan=False, allow_infinity=False)
scalars = st.none() | st.booleans() | st.integers() | finite | texts
json_values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=6,
)


@st.composite
def mutated_examples(draw: st.DrawFn) -> Any:
    """The example in either version after one to three random changes; now and then valid."""
    document: Any = copy.deepcopy(draw(st.sampled_from([EXAMPLE, EXAMPLE_2, ASKING])))
    for _ in range(draw(st.sampled_from([1, 1, 1, 2, 3]))):
        steps = draw(st.sampled_from(list(places(document))))
        if not steps:
            return draw(json_values)
        owner, last = part_at(document, steps[:-1]), steps[-1]
        match draw(st.sampled_from(["renumber", "replace", "remove", "double", "borrow"])):
            case "renumber":
                *owner_steps, last = draw(st.sampled_from(list(numbers(document)) or [steps]))
                part_at(document, tuple(owner_steps))[last] = draw(finite | st.integers(-1, 10**9))
            case "replace":
                owner[last] = draw(json_values)
            case "remove":
                del owner[last]
            case "double" if isinstance(owner, list):
                owner.append(copy.deepcopy(owner[last]))
            case "double":
                owner[draw(texts)] = owner[last]
            case "borrow":
                other = draw(st.sampled_from(list(places(EXAMPLE))[1:]))
                owner[last] = copy.deepcopy(part_at(EXAMPLE, other))
    return document
