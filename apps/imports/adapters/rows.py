"""The rows of a sheet as values of model fields, with everything that is wrong in words."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Field, ForeignKey, ManyToManyField

from apps.imports.adapters.cells import CellError, value_of
from apps.imports.adapters.files import File, Problem, Record, records
from apps.imports.adapters.known import NAMED_BY, SPOILED, Key, Known
from apps.imports.adapters.sheets import Sheet

# Field to value; a foreign key is a primary key, several are a frozen set of them.
Values = dict[str, Any]


@dataclass(frozen=True)
class Row:
    line: int
    values: Values


class UnusableError(Exception):
    """The row rests on another with a mistake, which is reported there."""


def read_sheet(sheet: Sheet, path: File, known: Known) -> Iterator[Row | Problem]:
    """Every row of the file at ``path``, checked against its model and against ``known``.

    One at a time, so that a row which was written before the next is asked for is known to it.
    """
    found, problems = records(path, sheet.columns)
    yield from problems
    lines: dict[tuple[Any, ...], int] = {}
    good: list[tuple[int, Values]] = []
    for record in found:
        read = list(_row(sheet, record, known))
        if any(isinstance(each, Problem) for each in read) or not read:
            known.spoil(sheet.model, _called(sheet, record))
        for each in read:
            kept = _unless_repeated(sheet, each, lines) if isinstance(each, Row) else each
            good += [(kept.line, kept.values)] if isinstance(kept, Row) else []
            yield kept
    # Sums of a part of the rows would be wrong: they are told of once the rows are right.
    if sheet.check_all and len(good) == len(found) and not problems:
        yield from (Problem(sheet.file, line, text) for line, text in sheet.check_all(good, known))


def _unless_repeated(sheet: Sheet, row: Row, lines: dict[tuple[Any, ...], int]) -> Row | Problem:
    key = tuple(row.values[name] for name in sheet.key)
    first = lines.setdefault(key, row.line)
    if first == row.line:
        return row
    named = " and ".join(sheet.key)
    said = f"the same {named} stands in line {first} already. Keep one of the two."
    return Problem(sheet.file, row.line, said)


def _row(sheet: Sheet, record: Record, known: Known) -> Iterator[Row | Problem]:
    """The row, or what is wrong with it, or nothing where the mistake is another row's."""
    values: Values = {}
    texts: list[str] = []
    usable = True
    for each in sheet.fields:
        try:
            values[each.name] = _value(sheet, each, record, values, known)
        except CellError as error:
            texts.append(str(error))
        except UnusableError:
            usable = False
    if usable and not texts:
        texts += sheet.check(values, known)
    if usable and not texts:
        yield Row(record.line, values)
    yield from (Problem(sheet.file, record.line, text) for text in texts)


def _value(sheet: Sheet, each: Field, record: Record, values: Values, known: Known) -> Any:
    if isinstance(each, ManyToManyField):
        codes = [code.strip() for code in record.cells[each.name].split(";") if code.strip()]
        return frozenset(_target(each, each.name, (code,), known) for code in codes)
    if isinstance(each, ForeignKey):
        return _foreign_key(sheet, each, record, values, known)
    text = record.cells[each.name]
    try:
        return value_of(each, text)
    except CellError as error:
        found = f'is "{text}"' if text else "is empty"
        raise CellError(f"{each.name} {found}, expected {error}.") from error


def _foreign_key(
    sheet: Sheet, each: ForeignKey, record: Record, values: Values, known: Known
) -> int | None:
    reference = sheet.reference(each.name)
    texts = tuple(record.cells[column] for column in reference.columns)
    column = reference.columns[-1]
    if not texts[-1]:
        if each.null:
            return None
        raise CellError(f"{column} is empty, expected the code of one of the {_plural(each)}.")
    if any(name not in values for name in reference.rests_on):
        raise UnusableError
    key = reference.key(texts, values, known) if reference.key else texts
    return _target(each, column, key, known)


def _target(each: Any, column: str, key: Key, known: Known) -> int:
    model = each.related_model
    if key not in known.of(model):
        among = f"{_plural(each)} of {', '.join(key[:-1])}" if key[:-1] else _plural(each)
        near = known.similar(model, key)
        raise CellError(f'{column} is "{key[-1]}", which is none of the {among}{near}')
    pk = known.of(model)[key]
    if pk is SPOILED:
        raise UnusableError
    return pk


def _plural(each: Any) -> str:
    return str(each.related_model._meta.verbose_name_plural)


def _called(sheet: Sheet, record: Record) -> Key:
    """What other files call the row, by the texts in it."""
    names = NAMED_BY.get(sheet.model, ("code",))
    return tuple(record.cells.get(name.partition("__")[0], "") for name in names)
