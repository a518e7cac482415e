"""Two people change one row: what each of them wrote stays to be seen.

Field by field: what the writer saw is held against what stands there now. A field that nobody
else touched takes the new value, however often other fields changed meanwhile.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Model

from apps.audit.selectors import latest_change


@dataclass(frozen=True)
class Conflict:
    """One field: what was ``seen``, what stands there now, and what was to be written.

    ``by`` and ``at`` say who wrote what stands there and when, as far as the trail knows.
    """

    field: str
    label: str
    seen: Any
    theirs: Any
    yours: Any
    by: str = ""
    at: dt.datetime | None = None


class ConflictError(Exception):
    """Somebody else changed the same fields; nothing was written. ``conflicts``: each of them."""

    def __init__(self, conflicts: tuple[Conflict, ...]) -> None:
        self.conflicts = conflicts
        names = ", ".join(each.label for each in conflicts)
        super().__init__(
            f"Somebody changed the same meanwhile: {names}. Compare both and decide which stays."
        )


def differing(
    row: Model, changes: Mapping[str, Any], seen: Mapping[str, Any] | None
) -> dict[str, Any]:
    """Those of ``changes`` that ``row`` does not say already.

    ``seen``: what the writer was shown, ``None`` where that was made sure otherwise.
    Raises ``ConflictError``.
    """
    wanted, conflicts = {}, []
    for name, yours in changes.items():
        now = getattr(row, name)
        if plain(now) == plain(yours):
            continue
        shown = plain(now) if seen is None else plain(seen.get(name))
        if shown == plain(yours):
            continue  # only looked at: what somebody else wrote since stays
        if shown != plain(now):
            conflicts.append(_conflict(row, name, seen, now, yours))
        wanted[name] = yours
    if conflicts:
        raise ConflictError(tuple(conflicts))
    return wanted


def plain(value: Any) -> Any:
    """A value as it can be compared, whichever way it came: from a form, a file or a row."""
    match value:
        case None:
            return ""
        case bool() | str():
            return value
        case int() | float() | Decimal():
            return float(value)
        case dt.date():
            return value.isoformat()
        case Model():
            return value.code
    return value


def named(row: Model) -> tuple[str, str]:
    """What the trail calls the row."""
    return row._meta.label_lower, str(getattr(row, "code", None) or row.pk)


def _conflict(
    row: Model, name: str, seen: Mapping[str, Any] | None, now: Any, yours: Any
) -> Conflict:
    entry = latest_change(*named(row), name)
    who = entry.by.get_username() if entry and entry.by else ""
    label = str(row._meta.get_field(name).verbose_name)
    shown = (seen or {}).get(name)
    return Conflict(name, label, shown, now, yours, who, entry.at if entry else None)
