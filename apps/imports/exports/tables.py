"""One table as CSV, under the very columns by which a folder of files is loaded."""

import datetime as dt
import json
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import reduce
from operator import and_
from typing import Any

from django.db.models import (
    DecimalField,
    Field,
    ForeignKey,
    JSONField,
    ManyToManyField,
    Model,
    Q,
    QuerySet,
)

from apps.audit.exports import csv_text
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import areas_for, facilities_for
from apps.imports.adapters import catalogue, register
from apps.imports.adapters.csv_cells import guarded
from apps.imports.adapters.known import NAMED_BY
from apps.imports.adapters.sheets import Sheet

REGISTER: dict[str, Sheet] = {sheet.file: sheet for sheet in register.SHEETS}
CATALOGUE: dict[str, Sheet] = {sheet.file: sheet for sheet in catalogue.SHEETS}
AT_ONCE = 2000


def table_csv(sheet: Sheet, *, user: Any = None, area: Area | None = None) -> str:
    """All rows of the table of ``sheet``, or those that lie within ``area`` and are ``user``'s.

    A row belongs to each area and facility that it names; one that names none belongs
    everywhere, and to everybody. Reading the file in again changes nothing.
    """
    rows = sheet.model._default_manager.order_by(*_order(sheet))
    if area is not None:
        rows = rows.filter(_within(sheet, user, area))
    return csv_text(sheet.columns, _lines(sheet, rows))


def _within(sheet: Sheet, user: Any, area: Area) -> Q:
    """What is one's own: the rows of the places, and rows about such places only."""
    inside = {
        Area: areas_for(user).within(area.path).values("pk"),
        Facility: facilities_for(user).within(area.path).order_by().values("pk"),
    }
    if sheet.model in inside:
        return Q(pk__in=inside[sheet.model])
    scopes = []
    for each in sheet.fields:
        if isinstance(each, ForeignKey) and (place := _place(each)):
            path, model = place
            held = Q(**{f"{path}__in": inside[model]})
            scopes.append(held | Q(**{f"{each.name}__isnull": True}) if each.null else held)
    # A table that belongs nowhere would be everybody's: it is given to nobody.
    return reduce(and_, scopes) if scopes else Q(pk__in=[])


def _place(each: ForeignKey) -> tuple[str, type[Model]] | None:
    """Where the row that ``each`` names lies: it is a place itself, or stands at a facility."""
    model = each.related_model
    if model in (Area, Facility):
        return each.name, model
    at_a_facility = any(field.name == "facility" for field in model._meta.fields)
    return (f"{each.name}__facility", Facility) if at_a_facility else None


def _order(sheet: Sheet) -> list[str]:
    if sheet.model is Area:
        return ["path"]  # a parent stands before those that lie in it
    fields = {each.name: each for each in sheet.fields}
    return [path for name in sheet.key for path in _paths(fields[name])]


def _paths(each: Field) -> tuple[str, ...]:
    """Where the texts that files call the field's value by are found from its row."""
    if not isinstance(each, ForeignKey):
        return (each.name,)
    named = NAMED_BY.get(each.related_model, ("code",))
    return tuple(f"{each.name}__{path}" for path in named)


def _lines(sheet: Sheet, rows: QuerySet) -> Iterator[list[Any]]:
    plan = dict(_plan(sheet))
    several = [each for each in sheet.fields if isinstance(each, ManyToManyField)]
    codes = {each.name: _codes(each) for each in several}
    paths = [path for path, _ in plan.values()]
    names = list(plan)
    for pk, *values in rows.values_list("pk", *paths).iterator(chunk_size=AT_ONCE):
        cells = {name: plan[name][1](value) for name, value in zip(names, values, strict=True)} | {
            name: ";".join(sorted(found.get(pk, ()))) for name, found in codes.items()
        }
        yield [guarded(cells[column]) for column in sheet.columns]


def _plan(sheet: Sheet) -> Iterator[tuple[str, tuple[str, Callable[[Any], Any]]]]:
    """Column to the path of its value and how that is written."""
    for each in sheet.fields:
        if isinstance(each, ManyToManyField):
            continue
        columns = sheet.reference(each.name).columns
        paths = _paths(each)
        # A column that only says where to look up the last one names the same row too.
        for column, path in zip(columns, paths[-len(columns) :], strict=True):
            yield column, (path, _writer(each))


def _codes(each: ManyToManyField) -> dict[int, list[str]]:
    """Row to the codes of the others that it names; one query."""
    own, other = each.m2m_column_name(), each.m2m_reverse_field_name()
    found: dict[int, list[str]] = {}
    rows = each.remote_field.through._default_manager.values_list(own, f"{other}__code")
    for pk, code in rows.iterator(chunk_size=AT_ONCE):
        found.setdefault(pk, []).append(code)
    return found


def _writer(each: Field) -> Callable[[Any], Any]:
    if isinstance(each, JSONField):
        return lambda value: json.dumps(value, ensure_ascii=False)
    return _decimal if isinstance(each, DecimalField) else _plain


def _decimal(value: Decimal | None) -> str | None:
    return None if value is None else f"{value.normalize():f}"


def _plain(value: Any) -> Any:
    if isinstance(value, bool):
        return "true" if value else "false"
    return value.isoformat() if isinstance(value, dt.date) else value
