"""A row of text as values of model fields, or what is wrong with it, cell by cell."""

from collections.abc import Callable, Mapping
from typing import Any

from django.db.models import Field, ForeignKey

from apps.imports.adapters.cells import CellError, value_of
from apps.imports.adapters.known import SPOILED, Known
from apps.imports.adapters.rows import Values
from apps.imports.adapters.sheets import Sheet
from apps.imports.adapters.sources import Fault, SourceRow

REMEMBERED = 50_000
MOST_LIKENESSES = 50
"""How often a similar name is looked for: to compare with all names takes its time."""

Outcome = tuple[Any, Fault | None]


class RowReader:
    """Reads the rows of one sheet of one file; equal texts of a column are read once."""

    def __init__(self, sheet: Sheet, headings: Mapping[str, str], known: Known) -> None:
        self._sheet, self._known, self._headings = sheet, known, headings
        self._likenesses = 0
        self._plan = [(each.name, *self._parser(each)) for each in sheet.fields]

    def read(self, row: SourceRow) -> tuple[Values, list[Fault]]:
        """The values of ``row``, and its faults; the values are whole where there are none."""
        values: Values = {}
        faults = list(row.faults)
        faulty = {fault.column for fault in faults}
        for name, parse, seen in self._plan:
            text = row.cells.get(name, "")
            found = seen.get(text)
            if found is None:
                found = parse(text)
                if len(seen) < REMEMBERED:
                    seen[text] = found
            value, fault = found
            if fault is None:
                values[name] = value
            elif fault.column not in faulty:
                faults.append(fault)
        if not faults:
            faults += [in_parts(text) for text in self._sheet.check(values, self._known)]
        return values, faults

    def _parser(self, each: Field) -> tuple[Callable[[str], Outcome], dict[str, Outcome]]:
        heading = self._headings.get(each.name, each.name)
        if not isinstance(each, ForeignKey):
            return lambda text: _plain(each, heading, text), {}
        if each.related_model is self._sheet.model:
            # Rows may name rows before them: what was wrong a moment ago may be right now.
            return lambda text: self._reference(each, heading, text), _Forgetful()
        return lambda text: self._reference(each, heading, text), {}

    def _reference(self, each: ForeignKey, heading: str, text: str) -> Outcome:
        names = str(each.related_model._meta.verbose_name_plural)
        if not text:
            if each.null:
                return None, None
            return None, Fault(heading, "", "is empty", f"Choose one of the {names}.")
        known = self._known.of(each.related_model)
        if (text,) not in known:
            self._likenesses += 1
            near = ""
            if self._likenesses <= MOST_LIKENESSES:
                near = self._known.similar(each.related_model, (text,)).strip(";. ")
            remedy = f"{near[:1].upper()}{near[1:]} " if near else ""
            reason = f"is none of the {names} that you can name here"
            return None, Fault(heading, text, reason, f"{remedy}Choose one from the list.".strip())
        pk = known[text,]
        if pk is SPOILED:
            return None, Fault(
                heading, text, "names a row of this file that is refused", "Correct that row first."
            )
        return pk, None


class _Forgetful(dict[str, Outcome]):
    def __setitem__(self, text: str, outcome: Outcome) -> None:
        pass


def _plain(each: Field, heading: str, text: str) -> Outcome:
    try:
        return value_of(each, text), None
    except CellError as error:
        reason = "does not fit this column" if text else "is empty"
        return None, Fault(heading, text, reason, f"Expected {error}.")


def in_parts(text: str, column: str = "", value: str = "") -> Fault:
    """A sentence about a whole row, and the sentence with what to do, where it has one."""
    reason, _, remedy = text.partition(". ")
    return Fault(
        column, value, reason.rstrip("."), remedy or "Correct the row, then upload it again."
    )
