"""A row of a file against the register, and against what was given out to be filled in."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from apps.imports.adapters.kept import same

Kept = Mapping[str, Any]


@dataclass(frozen=True)
class Comparison:
    """Fields that only the file changed, from and to; and fields that both changed, with what
    was given out, what the register says now and what the file says."""

    changes: dict[str, list[Any]] = field(default_factory=dict)
    both: dict[str, list[Any]] = field(default_factory=dict)


def compare(mine: Kept, current: Kept, given_out: Kept | None) -> Comparison:
    """What taking over ``mine`` would do to ``current``; all values as they are kept.

    Without ``given_out`` every difference is a change. With it, a field that the person left
    as it was given out is none, whatever the register says by now; one that the register has
    kept is a change; one that both changed, to different values, is for somebody to decide.
    """
    changes: dict[str, list[Any]] = {}
    both: dict[str, list[Any]] = {}
    for name, value in mine.items():
        now = current[name]
        if same(value, now):
            continue
        if given_out is None or name not in given_out:
            changes[name] = [now, value]
            continue
        was = given_out[name]
        if same(value, was):
            continue
        if same(now, was):
            changes[name] = [now, value]
        else:
            both[name] = [was, now, value]
    return Comparison(changes, both)


def compare_with_newcomer(mine: Kept, current: Kept) -> Comparison:
    """A row that the person added, and that somebody else has added in the meantime."""
    return Comparison(
        both={
            name: [None, current[name], value]
            for name, value in mine.items()
            if not same(value, current[name])
        }
    )
