"""The history arranged for reading: what was done in words, and from what to what."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.utils.translation import gettext

LONGEST_VALUE = 160
SHOWN_AT_ONCE = 6


@dataclass(frozen=True)
class ValueChange:
    """One value of an object: as it was and as it became; blank: it was, or is, not there."""

    name: str
    before: str
    after: str


@dataclass(frozen=True)
class HistoryRow:
    """One entry, of what ``kind`` of object: ``shown`` changes at once, ``more`` on demand."""

    entry: Any
    done: str
    kind: str
    shown: tuple[ValueChange, ...]
    more: tuple[ValueChange, ...]


def history_rows(entries: Iterable[Any]) -> list[HistoryRow]:
    """A row for each entry, in the order given."""
    return [_row(entry) for entry in entries]


def _row(entry: Any) -> HistoryRow:
    changes = tuple(_changes(entry.before or {}, entry.after or {}))
    return HistoryRow(
        entry=entry,
        done=_done(entry.action),
        kind=kind_name(entry.object_type),
        shown=changes[:SHOWN_AT_ONCE],
        more=changes[SHOWN_AT_ONCE:],
    )


def kind_name(kind: str) -> str:
    """A kind of object as people call it."""
    if kind == "name":
        return gettext("file or folder")
    try:
        return str(apps.get_model(kind)._meta.verbose_name)
    except (LookupError, ValueError):
        return kind


def _done(action: str) -> str:
    """``plan.drafted`` as "plan drafted"."""
    return action.replace(".", " ").replace("-", " ").replace("_", " ")


def _changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterable[ValueChange]:
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name), after.get(name)
        if old != new:
            yield ValueChange(name.replace("_", " "), _text(old), _text(new))


def _text(value: Any) -> str:
    """A value as people write it; what is long is cut, for the file has it whole."""
    match value:
        case None | "" | [] | {}:
            return ""
        case bool():
            return gettext("yes") if value else gettext("no")
        case str():
            text = value
        case list() if all(isinstance(part, str | int | float) for part in value):
            text = ", ".join(map(str, value))
        case dict() | list():
            text = json.dumps(value, ensure_ascii=False)
        case _:
            text = str(value)
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"
