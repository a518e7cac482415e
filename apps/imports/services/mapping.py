"""A district's own file: kept until its columns are known, then read as any other."""

import datetime as dt
from collections.abc import Mapping, Sequence

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.facilities.models import Area
from apps.facilities.selectors import areas_for, district_of
from apps.imports.adapters.grids import grid_of
from apps.imports.adapters.mapping import signature
from apps.imports.adapters.table_reading import essential
from apps.imports.adapters.tables import TABLES, RegisterTable
from apps.imports.choices import UploadKind
from apps.imports.models import ColumnMapping, UnmappedFile, Upload
from apps.imports.services.receiving import check_content, receive_upload

KEPT_DAYS = 7
"""A file of which nobody has said what its columns are is dropped after a week."""


@transaction.atomic
def keep_unmapped(*, file_name: str, content: bytes, area: Area, by: User) -> UnmappedFile:
    """Keep a file of ``by``'s own until its columns are mapped; older ones are dropped.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` for an empty file or
    one of more than 50 MB, ``RefusedFileError`` for one that is no table.
    """
    require(by, "register.change")
    if not areas_for(by).filter(pk=area.pk).exists():
        raise PermissionDenied(f"{area} is not one of your areas. Choose one that is.")
    check_content(content)
    grid_of(file_name, content)
    before = timezone.now() - dt.timedelta(days=KEPT_DAYS)
    UnmappedFile.objects.filter(at__lt=before).delete()
    kept = UnmappedFile.objects.create(
        file_name=file_name[-200:], content=content, area=area, by=by
    )
    record("file.kept", by=by, obj=kept, after={"file": kept.file_name, "bytes": len(content)})
    return kept


@transaction.atomic
def map_file(
    *,
    unmapped: UnmappedFile,
    table: str,
    columns: Sequence[str],
    values: Mapping[str, Mapping[str, str]],
    by: User,
    sheet: str = "",
) -> Upload:
    """Queue the reading of ``unmapped`` by these columns and words, and remember them.

    ``columns``: for each heading of the file the column of ``table`` that it is, or nothing;
    ``values``: column to word of the file to our value. Raises ``PermissionDenied`` where
    ``by`` may not, ``ValidationError`` where a column stands twice or one is lacking that rows
    are known by.
    """
    require(by, "register.change")
    heads = grid_of(unmapped.file_name, bytes(unmapped.content), sheet=sheet).heads
    if table not in TABLES:
        raise ValidationError({"table": f"{table} is no table of the register. Choose one."})
    _check_columns(TABLES[table], heads, columns)
    words = {
        column: {word: meant for word, meant in each.items() if meant}
        for column, each in values.items()
        if column in columns
    }
    how = {
        "table": table,
        "sheet": sheet,
        "signature": signature(heads),
        "columns": list(columns),
        "values": words,
    }
    _remember(unmapped.area, heads, how, by)
    upload = receive_upload(
        file_name=unmapped.file_name,
        content=bytes(unmapped.content),
        area=unmapped.area,
        by=by,
        kind=UploadKind.MAPPED,
        how=how,
    )
    unmapped.delete()
    return upload


def _check_columns(table: RegisterTable, heads: Sequence[str], columns: Sequence[str]) -> None:
    named = [column for column in columns if column]
    if len(columns) != len(heads):
        raise ValidationError({"columns": f"Expected {len(heads)} columns, one for each heading."})
    for column in named:
        if column not in table.sheet.columns:
            raise ValidationError({"columns": f"{table.title} has no column {column}."})
        if named.count(column) > 1:
            said = f"{table.heading(column)} is chosen for {named.count(column)} columns."
            raise ValidationError({"columns": f"{said} Choose it for one of them."})
    lacking = [name for name in table.sheet.columns if name in essential(table) - {*named}]
    if lacking:
        names = ", ".join(map(table.heading, lacking))
        raise ValidationError(
            {"columns": f"No column is chosen to be {names}. {table.title} cannot be read without."}
        )


def _remember(area: Area, heads: Sequence[str], how: Mapping[str, object], by: User) -> None:
    district, mark = district_of(area), how["signature"]
    said = {name: how[name] for name in ("table", "columns", "values")}
    before = ColumnMapping.objects.filter(district=district, signature=mark).values(*said).first()
    kept, _ = ColumnMapping.objects.update_or_create(
        district=district, signature=mark, defaults={**said, "heads": list(heads), "by": by}
    )
    if before != said:
        record("columns.mapped", by=by, obj=kept, before=before, after=said, place=district.path)
