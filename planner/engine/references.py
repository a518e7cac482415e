"""Which codes of a document must be unique, and which must exist: said once, as paths.

A path walks plain JSON: ``sites[]`` is every entry of the list, ``demand{}`` every key of
the object. Checks work on the raw document, so that they still report when other places
are wrong; a value of the wrong type is left to the type check.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class References:
    """Lists whose entries carry a unique ``code``, keys unique in a list, references."""

    coded: tuple[str, ...] = ()
    unique: tuple[tuple[str, tuple[str, ...]], ...] = ()
    distinct: tuple[str, ...] = ()
    existing: tuple[tuple[str, str], ...] = ()

    def problems(self, raw: Any) -> list[str]:
        """One line for each repeated or dangling code in ``raw``."""
        found: list[str] = []
        for name in self.coded:
            found += _repeated(raw, f"{name}[]", ("code",))
        for path, keys in self.unique:
            found += _repeated(raw, path, keys)
        for path in self.distinct:
            found += _repeated_values(raw, path)
        for path, target in self.existing:
            known = {value for _, value in walk(raw, f"{target}[].code")}
            found += [
                f"{place}: there is no entry with code {json.dumps(value)} in {target}"
                for place, value in walk(raw, path)
                if isinstance(value, str) and value not in known
            ]
        return found


def walk(raw: Any, path: str) -> Iterator[tuple[str, Any]]:
    """``(place, value)`` for everything that ``path`` reaches in ``raw``."""
    return _walk(raw, path.split("."), "")


def _walk(value: Any, steps: list[str], place: str) -> Iterator[tuple[str, Any]]:
    if not steps:
        yield place, value
        return
    step, rest = steps[0], steps[1:]
    name = step.rstrip("[]{}")
    inner = value.get(name) if isinstance(value, dict) else None
    here = f"{place}.{name}" if place else name
    if step.endswith("[]"):
        entries = inner if isinstance(inner, list) else []
        for index, entry in enumerate(entries):
            yield from _walk(entry, rest, f"{here}[{index}]")
    elif step.endswith("{}"):
        for key in inner if isinstance(inner, dict) else {}:
            yield f"{here}.{key}", key
    elif isinstance(value, dict) and name in value:
        yield from _walk(inner, rest, here)


def _repeated(raw: Any, path: str, keys: tuple[str, ...]) -> list[str]:
    first: dict[tuple[Any, ...], str] = {}
    found = []
    for place, entry in walk(raw, path):
        if not isinstance(entry, dict):
            continue
        key = tuple(entry.get(name) for name in keys)
        if not all(isinstance(part, str) for part in key):
            continue
        if key in first:
            shown = ", ".join(json.dumps(part) for part in key)
            found.append(f"{place}.{keys[0]}: {shown} is already used at {first[key]}")
        else:
            first[key] = place
    return found


def _repeated_values(raw: Any, path: str) -> list[str]:
    """Values listed twice in one list: ``sites[].skills[]`` compares within each site."""
    seen: set[tuple[str, str]] = set()
    found = []
    for place, value in walk(raw, path):
        if not isinstance(value, str):
            continue
        key = (place.rpartition("[")[0], value)
        if key in seen:
            found.append(f"{place}: {json.dumps(value)} is listed twice")
        seen.add(key)
    return found


CASE_REFERENCES = References(
    coded=("areas", "programmes", "skills", "infrastructure", "device_models", "tests", "methods",
           "sites"),
    unique=(("stock[]", ("site", "model")), ("links[]", ("from", "to"))),
    distinct=("device_models[].programmes[]", "methods[].skills[]", "methods[].infrastructure[]",
              "sites[].skills[]", "sites[].infrastructure[]"),
    existing=(
        ("device_models[].programmes[]", "programmes"),
        ("tests[].programme", "programmes"),
        ("methods[].test", "tests"),
        ("methods[].skills[]", "skills"),
        ("methods[].infrastructure[]", "infrastructure"),
        ("sites[].area", "areas"),
        ("sites[].skills[]", "skills"),
        ("sites[].infrastructure[]", "infrastructure"),
        ("sites[].demand{}", "tests"),
        ("stock[].site", "sites"),
        ("stock[].model", "device_models"),
        ("links[].from", "sites"),
        ("links[].to", "sites"),
        ("limits.earmarks{}", "programmes"),
    ),
)  # fmt: skip

RESULT_REFERENCES = References(
    unique=(
        ("actions[]", ("site", "kind", "item")),
        ("volumes[]", ("from", "at", "method")),
    ),
)
