"""Survey workbooks to be filled in, and tables of the register as a workbook."""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from apps.accounts.models import User
from apps.facilities.models import Area, Facility
from apps.imports.adapters.register_rows import places_of, rows_in, values_of
from apps.imports.adapters.tables import SURVEYED, TABLES
from apps.imports.adapters.workbook_lists import Lists
from apps.imports.adapters.workbook_values import GivenOutRows, prepared
from apps.imports.adapters.workbook_writing import SurveyBook
from apps.imports.models import Workbook
from apps.imports.services import keep_workbook, new_workbook_key


def survey_workbook(
    *, area: Area, by: User, site: Facility | None = None
) -> tuple[Workbook, bytes]:
    """A workbook of what ``by`` may see of ``area``, or of ``site`` alone, to be filled in.

    What it said when it was given out is kept, so that a filled one can be compared with it.
    Raises ``PermissionDenied`` where ``by`` may not change the register.
    """
    places = places_of(by, area, site)
    tables = [TABLES[file] for file in SURVEYED]
    about = str(site) if site else str(area)
    lists = Lists(places)
    count = sum(rows_in(table, places).count() for table in tables)
    key, made = new_workbook_key(), f"Made on {timezone.now():%Y-%m-%d %H:%M} UTC"
    book = SurveyBook(about, lists, row_count=count)
    book.instruct(tables, made)
    given_out = GivenOutRows()
    for table in tables:
        known = given_out.passing(table, values_of(table, rows_in(table, places)))
        book.add(table, prepared(table, known, places))
    sha256 = given_out.digest
    book.mark(key, made, sha256)
    content = book.content()
    workbook = keep_workbook(
        key=key,
        area=area,
        facility=site,
        pieces=given_out.pieces,
        row_count=given_out.row_count,
        sha256=sha256,
        by=by,
    )
    return workbook, content


def tables_xlsx(user: Any, area: Area, files: Sequence[str] = SURVEYED) -> bytes:
    """The tables ``files`` of what ``user`` may see of ``area``, to be looked at."""
    places = places_of(user, area)
    tables = [TABLES[file] for file in files]
    count = sum(rows_in(table, places).count() for table in tables)
    book = SurveyBook(str(area), Lists(places), row_count=count, protect=False)
    for table in tables:
        book.add(table, values_of(table, rows_in(table, places)))
    return book.content()
