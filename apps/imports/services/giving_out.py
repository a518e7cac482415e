import secrets
from collections.abc import Sequence

from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.facilities.models import Area, Facility
from apps.imports.models import Workbook, WorkbookPiece


def new_workbook_key() -> str:
    """A version mark that no workbook has had: 80 random bits in hexadecimal."""
    return secrets.token_hex(10)


@transaction.atomic
def keep_workbook(
    *,
    key: str,
    area: Area,
    facility: Facility | None,
    pieces: Sequence[tuple[str, bytes]],
    row_count: int,
    sha256: str,
    by: User,
) -> Workbook:
    """Remember what a workbook said when it was given out to ``by``.

    ``pieces``: file name of a sheet and packed rows. Raises ``PermissionDenied`` where ``by``
    may not change the register.
    """
    require(by, "register.change")
    workbook = Workbook.objects.create(
        key=key, area=area, facility=facility, by=by, row_count=row_count, sha256=sha256
    )
    WorkbookPiece.objects.bulk_create(
        WorkbookPiece(workbook=workbook, sheet=sheet, content=content) for sheet, content in pieces
    )
    after = {"area": area.code, "facility": facility and facility.code, "rows": row_count}
    record("workbook.given-out", by=by, obj=workbook, after={**after, "sha256": sha256})
    return workbook
