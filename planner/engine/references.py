"""Which codes of a document must be unique, and which must exist: said once, as paths.

A path walks plain JSON: ``sites[]`` is every entry of the list, ``demand{}`` every key of
the object. Checks work on the raw document, so that they still report when other places
are wrong; a value of the wrong type is left to the type check.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from planner.engine.places import Step, place, shown

Found = tuple[tuple[Step, ...], Any]
"""Where a value stands, and the value."""


@dataclass(frozen=True)
class References:
    """What must be unique, apart and existing among the codes of a document.

    ``coded``: lists whose entries carry a unique ``code``. ``unique``: keys that together
    are unique in a list (one that ends in ? may be null). ``distinct``: lists without
    repeated values. ``apart``: two keys of an entry that must differ. ``existing``: codes,
    and the list that must hold them.
    ``chosen``: codes whose list depends on another key of the entry. ``ordered``: two keys
    of an entry, the first of which may not be the greater.
    """

    coded: tuple[str, ...] = ()
    unique: tuple[tuple[str, tuple[str, ...]], ...] = ()
    distinct: tuple[str, ...] = ()
    apart: tuple[tuple[str, str, str], ...] = ()
    existing: tuple[tuple[str, str], ...] = ()
    chosen: tuple[tuple[str, str, str, Mapping[str, str]], ...] = ()
    ordered: tuple[tuple[str, str, str], ...] = ()

    def problems(self, raw: Any) -> list[str]:
        """One line for each repeated, coinciding or dangling code in ``raw``."""
        found: list[str] = []
        for name in self.coded:
            found += _repeated(walk(raw, f"{name}[]"), ("code",))
        for path, keys in self.unique:
            found += _repeated(walk(raw, path), keys)
        for path in self.distinct:
            found += _listed_twice(walk(raw, path))
        for path, key, other in self.apart:
            found += _coinciding(walk(raw, path), key, other)
        for path, target in self.existing:
            found += _dangling(raw, walk(raw, path), target)
        for path, chooser, key, targets in self.chosen:
            entries = list(walk(raw, path))
            for choice, target in targets.items():
                found += _dangling(raw, _where(entries, chooser, choice, key), target)
        for path, low, high in self.ordered:
            found += _disordered(walk(raw, path), low, high)
        return found


def walk(raw: Any, path: str) -> Iterator[Found]:
    """Everything that ``path`` reaches in ``raw``, in document order."""
    return _walk(raw, path.split("."), ())


def _walk(value: Any, path: list[str], steps: tuple[Step, ...]) -> Iterator[Found]:
    if not path:
        yield steps, value
        return
    name, rest = path[0].rstrip("[]{}"), path[1:]
    if not isinstance(value, dict) or name not in value:
        return
    inner, here = value[name], (*steps, name)
    if path[0].endswith("[]"):
        for index, entry in enumerate(inner if isinstance(inner, list) else ()):
            yield from _walk(entry, rest, (*here, index))
    elif path[0].endswith("{}"):
        for key in inner if isinstance(inner, dict) else ():
            yield (*here, key), key
    else:
        yield from _walk(inner, rest, here)


def _repeated(entries: Iterable[Found], keys: tuple[str, ...]) -> Iterator[str]:
    first: dict[tuple[Any, ...], tuple[Step, ...]] = {}
    for steps, entry in entries:
        named = {key.rstrip("?"): key.endswith("?") for key in keys}
        values = tuple(entry.get(key) for key in named) if isinstance(entry, dict) else (None,)
        if not all(
            isinstance(value, str) or (may_be_null and value is None)
            for value, may_be_null in zip(values, named.values(), strict=False)
        ):
            continue
        if values in first:
            both = ", ".join(
                f"{key} {shown(value)}"
                for key, value in zip(named, values, strict=True)
                if value is not None
            )
            yield f"{place(steps)}: {both} is already used at {place(first[values])}"
        else:
            first[values] = steps


def _listed_twice(values: Iterable[Found]) -> Iterator[str]:
    """Values listed twice in one list: ``sites[].skills[]`` compares within each site."""
    seen: set[tuple[tuple[Step, ...], str]] = set()
    for steps, value in values:
        if not isinstance(value, str):
            continue
        entry = (steps[:-1], value)
        if entry in seen:
            yield f"{place(steps)}: {shown(value)} is listed twice"
        seen.add(entry)


def _coinciding(entries: Iterable[Found], key: str, other: str) -> Iterator[str]:
    for steps, entry in entries:
        value = entry.get(key) if isinstance(entry, dict) else None
        if isinstance(value, str) and value == entry.get(other):
            yield f"{place(steps)}: {key} and {other} must differ, both are {shown(value)}"


def _where(entries: Iterable[Found], chooser: str, choice: str, key: str) -> Iterator[Found]:
    """The values of ``key`` in those entries whose ``chooser`` is ``choice``."""
    for steps, entry in entries:
        if isinstance(entry, dict) and entry.get(chooser) == choice and key in entry:
            yield (*steps, key), entry[key]


def _disordered(entries: Iterable[Found], low: str, high: str) -> Iterator[str]:
    for steps, entry in entries:
        least, most = (entry.get(low), entry.get(high)) if isinstance(entry, dict) else (0, 0)
        if isinstance(least, int | float) and isinstance(most, int | float) and least > most:
            yield f"{place(steps)}: {low} {shown(least)} is more than {high} {shown(most)}"


def _dangling(raw: Any, codes: Iterable[Found], target: str) -> Iterator[str]:
    if not isinstance(raw, dict) or not isinstance(raw.get(target), list):
        return  # the list itself is the mistake; each code that it would hold is not
    known = {code for _, code in walk(raw, f"{target}[].code") if isinstance(code, str)}
    for steps, code in codes:
        if isinstance(code, str) and code not in known:
            yield f"{place(steps)}: there is no entry with code {shown(code)} in {target}"
