"""Planning cases as plain JSON: the shipped example, changed copies, generated ones.

For tests of the reader, which need documents that are *wrong*; ``cases`` builds right ones.
"""

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from planner.engine.conditions import COMPARATORS

EXAMPLE_PATH = Path(__file__).resolve().parents[2] / "fixtures" / "cases" / "three-sites.json"
EXAMPLE = json.loads(EXAMPLE_PATH.read_text(encoding="utf-8"))

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
    """The example after one to three random changes; now and then still valid."""
    document: Any = copy.deepcopy(EXAMPLE)
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


amounts = st.floats(0, 1e9) | st.integers(0, 10**9)
shares = st.floats(0, 1) | st.sampled_from([0, 1])
spec_scalars = finite | st.integers(-(2**53), 2**53) | st.booleans() | texts
pairs = st.lists(finite, min_size=2, max_size=2).map(sorted)
operands = {
    "min": finite,
    "max": finite,
    "between": pairs,
    "covers": pairs,
    "is": spec_scalars,
    "has": st.lists(spec_scalars, min_size=1, max_size=3),
}
conditions = st.sampled_from(COMPARATORS).flatmap(
    lambda comparator: st.fixed_dictionaries({comparator: operands[comparator]})
)
specs = spec_scalars | st.lists(spec_scalars, max_size=3)
codes = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=100)


def _codes(draw: st.DrawFn, least: int = 0) -> list[str]:
    return draw(st.lists(codes, min_size=least, max_size=4, unique=True))


def _some(of: list[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(of), unique=True) if of else st.just([])


def _amounts_by(of: list[str]) -> st.SearchStrategy[dict[str, float]]:
    return st.dictionaries(st.sampled_from(of), amounts) if of else st.just({})


def _record(code: str, **fields: Any) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"code": st.just(code), "name": texts, **fields})


@st.composite
def valid_cases(draw: st.DrawFn) -> dict[str, Any]:
    """A case that keeps every rule of the format, with any codes and numbers."""
    areas, programmes, sites = _codes(draw, 1), _codes(draw, 1), _codes(draw, 1)
    skills, infrastructure, models, tests = (_codes(draw) for _ in range(4))
    return {
        "format": "benchward-case",
        "version": 1,
        "title": draw(texts),
        "currency": draw(st.from_regex(r"\A[A-Z]{3}\Z")),
        "minimum_evidence": draw(st.sampled_from("ABCD")),
        "areas": [draw(_record(code, floor=shares)) for code in areas],
        "programmes": [draw(_record(code)) for code in programmes],
        "skills": [draw(_skill(code)) for code in skills],
        "infrastructure": [draw(_infrastructure(code)) for code in infrastructure],
        "device_models": [draw(_device_model(code, programmes)) for code in models],
        "tests": [draw(_lab_test(code, programmes)) for code in tests],
        "methods": [
            draw(_method(code, tests, skills, infrastructure))
            for code in (_codes(draw) if tests else [])
        ],
        "sites": [draw(_site(code, areas, skills, infrastructure, tests)) for code in sites],
        "stock": [
            {"site": site, "model": model, "working": draw(counts), "broken": draw(counts)}
            for site in draw(_some(sites))
            for model in draw(_some(models))
        ],
        "links": [
            {"from": origin, "to": to, "hours": draw(amounts), "cost": draw(amounts)}
            for origin in draw(_some(sites))
            for to in draw(_some(sites))
            if origin != to
        ],
        "limits": {
            "capital": draw(amounts),
            "earmarks": draw(_amounts_by(programmes)),
            "recurrent": draw(st.none() | amounts),
            "trainer_days": draw(st.none() | amounts),
            "max_units": draw(counts),
        },
    }


counts = st.integers(0, 2**53 - 1) | st.integers(0, 3).map(float)


def _skill(code: str) -> st.SearchStrategy[dict[str, Any]]:
    return _record(code, training_cost=amounts, trainer_days=amounts, supervision_cost=amounts)


def _infrastructure(code: str) -> st.SearchStrategy[dict[str, Any]]:
    return _record(code, cost=st.dictionaries(st.integers(0, 12).map(str), amounts, max_size=3))


def _device_model(code: str, programmes: list[str]) -> st.SearchStrategy[dict[str, Any]]:
    role = {"class": codes, "specs": st.dictionaries(codes, specs, max_size=3)}
    return _record(
        code,
        evidence=st.sampled_from("ABCD"),
        serves=st.lists(st.fixed_dictionaries(role), max_size=2),
        price=amounts,
        annual_cost=amounts,
        hours_per_year=amounts,
        repair_cost=amounts,
        programmes=_some(programmes),
    )


def _lab_test(code: str, programmes: list[str]) -> st.SearchStrategy[dict[str, Any]]:
    programme, hours = st.sampled_from(programmes), st.none() | amounts
    return _record(code, programme=programme, weight=amounts, max_transport_hours=hours)


def _method(
    code: str, tests: list[str], skills: list[str], infrastructure: list[str]
) -> st.SearchStrategy[dict[str, Any]]:
    require = st.dictionaries(codes, conditions, max_size=3)
    need = {"class": codes, "require": require, "hours": amounts}
    method = {
        "code": st.just(code),
        "test": st.sampled_from(tests),
        "sensitivity": shares,
        "staff_hours": amounts,
        "consumable_cost": amounts,
        "needs": st.lists(st.fixed_dictionaries(need), max_size=2),
        "skills": _some(skills),
        "infrastructure": _some(infrastructure),
    }
    return st.fixed_dictionaries(method)


def _site(
    code: str, areas: list[str], skills: list[str], infrastructure: list[str], tests: list[str]
) -> st.SearchStrategy[dict[str, Any]]:
    return _record(
        code,
        area=st.sampled_from(areas),
        level=st.integers(0, 12),
        latitude=st.floats(-90, 90),
        longitude=st.floats(-180, 180),
        population=amounts,
        staff_hours=amounts,
        skills=_some(skills),
        infrastructure=_some(infrastructure),
        demand=_amounts_by(tests),
    )
