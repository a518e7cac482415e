"""An old plan computed again from the case it was made from, and held against what was kept."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from planner.engine.allocation import plan
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result

# How long the search took says something of the machine, not of the answer.
NOT_COMPARED = frozenset({"seconds"})
SHOWN = 20


@dataclass(frozen=True)
class Retraced:
    """What computing again came to.

    ``faults``: rules that the kept result breaks, by the judge that shares nothing with the
    optimiser. ``differences``: where the new result says something else; none: it is the
    same to the last digit.
    """

    faults: tuple[str, ...]
    differences: tuple[str, ...]

    @property
    def same(self) -> bool:
        return not self.faults and not self.differences


def retrace(case: Case, kept: Result, *, gap: float, seconds: float) -> Retraced:
    """Judge ``kept`` and compute ``case`` again with the same wishes.

    Raises ``EngineError`` where the engine of today finds no answer at all.
    """
    faults = tuple(violation.text for violation in verify(case, kept))
    again = plan(case, gap=gap, seconds=seconds)
    return Retraced(faults, tuple(differences(kept, again)))


def differences(kept: Result, again: Result) -> Iterator[str]:
    """One line for each figure, action or volume that differs."""
    old, new = kept.to_json(), again.to_json()
    for key in dict.fromkeys([*old, *new]):
        if key in NOT_COMPARED or old.get(key) == new.get(key):
            continue
        if isinstance(old.get(key), list) and isinstance(new.get(key), list):
            yield from _entries(key, old[key], new[key])
        else:
            yield f"{key}: kept {old.get(key)}, now {new.get(key)}"


def _entries(key: str, old: Iterable[Any], new: Iterable[Any]) -> Iterator[str]:
    before, after = ({_named(entry): entry for entry in entries} for entries in (old, new))
    lines = [
        f"{key}: {name}: kept {_rest(before.get(name))}, now {_rest(after.get(name))}"
        for name in dict.fromkeys([*before, *after])
        if before.get(name) != after.get(name)
    ]
    yield from lines[:SHOWN]
    if len(lines) > SHOWN:
        yield f"{key}: and {len(lines) - SHOWN} more"


def _named(entry: Any) -> str:
    """The words of an entry, which tell it from others; its numbers are what may differ."""
    if not isinstance(entry, dict):
        return str(entry)
    return " ".join(str(value) for value in entry.values() if isinstance(value, str))


def _rest(entry: Any) -> str:
    if entry is None:
        return "nothing"
    if not isinstance(entry, dict):
        return str(entry)
    numbers = {name: value for name, value in entry.items() if not isinstance(value, str)}
    return ", ".join(f"{name} {value}" for name, value in numbers.items()) or "it"
