"""What each row of a file would do to the register; nothing is written."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from itertools import islice
from typing import Any

from apps.imports.adapters.comparing import Comparison, compare, compare_with_newcomer
from apps.imports.adapters.given_out import GivenOut
from apps.imports.adapters.kept import keep, same
from apps.imports.adapters.row_reading import RowReader, in_parts
from apps.imports.adapters.rows import Values
from apps.imports.adapters.scoping import Scope
from apps.imports.adapters.sources import Fault, SourceRow, SourceSheet
from apps.imports.adapters.stored import Key, key_of, single_fields, stored_rows
from apps.imports.choices import Verdict

AT_ONCE = 1000
OUTSIDE = ("belongs to a place outside your areas, or outside that of the upload",
           "Leave the row out, or ask somebody who answers for that place to load it.")  # fmt: skip
REMOVED = ("is not in the register any more: it was removed after the workbook was made",
           "If it is there after all, enter it again under another code.")  # fmt: skip

Proposal = dict[str, Any]
"""One row as JSON: ``line`` and ``key``; new: ``values``; changed: ``fields``, name to from
and to; changed by both: also ``both``, name to given out, register and file; refused:
``faults``."""


class Proposer:
    """Goes through one sheet of a file. ``blank`` counts prepared rows that nobody filled in,
    ``unchanged`` those that say what the register says, ``seen`` those that were given out."""

    def __init__(self, source: SourceSheet, scope: Scope, given_out: GivenOut | None) -> None:
        self.unchanged = self.blank = self.seen = 0
        self._source, self._scope, self._given_out = source, scope, given_out
        self._table, self._sheet = source.table, source.table.sheet.as_in(source.headings)
        self._fields = {each.name: each for each in single_fields(self._sheet)}
        self._reader = RowReader(self._sheet, source.headings, scope)
        self._lines: dict[Key, int] = {}
        said = {*self._sheet.key, *self._table.unfilled}
        self._telling = [name for name in self._fields if name not in said]

    def batches(self) -> Iterator[tuple[int, list[tuple[Verdict, Proposal]]]]:
        """How many rows were read, and what those of them that matter would do; in turn."""
        rows = iter(self._source.rows)
        # Some sheets are checked as a whole, and such are short.
        size = None if self._sheet.check_all else AT_ONCE
        while batch := list(islice(rows, size)):
            yield len(batch), list(self._batch(batch))

    def _batch(self, batch: list[SourceRow]) -> Iterator[tuple[Verdict, Proposal]]:
        read = [(row, *self._reader.read(row)) for row in batch]
        for row, values, faults in read:
            if not faults:
                faults += self._repeated(row.line, values)
        if self._sheet.check_all:
            self._check_all(read)
        whole = [key_of(self._sheet, values) for _, values, faults in read if not faults]
        keyed = [self._key(values) for _, values, faults in read if faults]
        stored = stored_rows(self._sheet, [*whole, *filter(None, keyed)])
        for row, values, faults in read:
            yield from self._row(row, values, faults, stored)

    def _row(
        self, row: SourceRow, values: Values, faults: list[Fault], stored: Mapping[Key, Values]
    ) -> Iterator[tuple[Verdict, Proposal]]:
        key = self._key(values)
        current = stored.get(key) if key else None
        if faults and current is None and key and self._is_unfilled(row):
            self.blank += 1
            return
        kept_key = self._kept_key(values) if key else ()
        given = None if self._given_out is None else self._given_out.get(kept_key)
        self.seen += given is not None
        if not faults:
            faults = self._misplaced(values, current)
        if faults:
            self._refused(row)
            yield Verdict.REFUSED, {"line": row.line, "faults": [asdict(each) for each in faults]}
        elif current is None:
            yield from self._without_row(row, values, kept_key, given)
        else:
            yield from self._with_row(row, values, kept_key, current, given)

    def _without_row(
        self, row: SourceRow, values: Values, key: tuple[Any, ...], given: Mapping | None
    ) -> Iterator[tuple[Verdict, Proposal]]:
        kept = self._kept(values, self._fields)
        if given is None:
            if self._sheet.key == ("code",) and self._scope.names(self._sheet.model):
                self._scope.announce(self._sheet.model, (values["code"],))
            yield Verdict.NEW, {"line": row.line, "key": list(key), "values": kept}
        elif all(same(value, given[name]) for name, value in kept.items() if name in given):
            self.unchanged += 1
        else:
            fault = Fault("", ", ".join(map(str, key)), *REMOVED)
            yield Verdict.REFUSED, {"line": row.line, "faults": [asdict(fault)]}

    def _with_row(
        self,
        row: SourceRow,
        values: Values,
        key: tuple[Any, ...],
        current: Values,
        given: Mapping | None,
    ) -> Iterator[tuple[Verdict, Proposal]]:
        different = [name for name in self._fields if values[name] != current[name]]
        found = Comparison()
        if different:
            mine, now = self._kept(values, different), self._kept(current, different)
            if self._given_out is not None and given is None:
                found = compare_with_newcomer(mine, now)
            else:
                found = compare(mine, now, given)
        place = {"line": row.line, "key": list(key)}
        if found.both:
            yield Verdict.CONFLICT, {**place, "fields": found.changes, "both": found.both}
        elif found.changes:
            yield Verdict.CHANGED, {**place, "fields": found.changes}
        else:
            self.unchanged += 1

    def _repeated(self, line: int, values: Values) -> list[Fault]:
        first = self._lines.setdefault(key_of(self._sheet, values), line)
        if first == line:
            return []
        named = " and ".join(self._heading(name) for name in self._sheet.key)
        value = ", ".join(map(str, self._kept_key(values)))
        return [Fault(named, value, f"stands in row {first} already", "Keep one of the two rows.")]

    def _check_all(self, read: list[tuple[SourceRow, Values, list[Fault]]]) -> None:
        """Tell of mistakes that rows make together, once each is right by itself."""
        if any(faults for _, _, faults in read):
            return
        of_line = {row.line: faults for row, _, faults in read}
        good = [(row.line, values) for row, values, _ in read]
        for line, text in self._sheet.check_all(good, self._scope):
            of_line[line].append(in_parts(text))

    def _misplaced(self, values: Values, current: Values | None) -> list[Fault]:
        if current is not None and values == current:
            return []
        for row in filter(None, (current, values)):
            if not self._scope.allows(self._table.places_of(row, self._scope)):
                named = " and ".join(self._heading(name) for name in self._sheet.key)
                return [Fault(named, ", ".join(map(str, self._kept_key(values))), *OUTSIDE)]
        return []

    def _refused(self, row: SourceRow) -> None:
        """What rests on a row that is refused, and is not there yet, is told so."""
        code = (row.cells.get("code", ""),)
        model = self._sheet.model
        if self._scope.names(model) and code not in self._scope.of(model):
            self._scope.spoil(model, code)

    def _is_unfilled(self, row: SourceRow) -> bool:
        return bool(self._table.unfilled) and not any(map(row.cells.get, self._telling))

    def _key(self, values: Values) -> Key:
        """The key, if it could be read; else nothing."""
        names = self._sheet.key
        return key_of(self._sheet, values) if all(name in values for name in names) else ()

    def _kept_key(self, values: Values) -> tuple[Any, ...]:
        return tuple(self._kept(values, self._sheet.key).values())

    def _kept(self, values: Values, names: Any) -> dict[str, Any]:
        return {name: keep(self._fields[name], values[name], self._scope) for name in names}

    def _heading(self, name: str) -> str:
        return self._source.headings.get(name, name)
