import json
import zlib
from typing import Any

from django.db.models import F, QuerySet

from apps.facilities.selectors import areas_for
from apps.imports.models import ColumnMapping, ProposalPiece, UnmappedFile, Upload, Workbook


def uploads_for(user: Any) -> QuerySet[Upload]:
    """Uploads for the areas of ``user``, newest first, with area and people; two queries."""
    return Upload.objects.visible_to(user).select_related(
        "area", "by", "applied_by", "undone_by", "workbook"
    )


def upload_for(user: Any, pk: int) -> Upload:
    """One upload; raises ``Upload.DoesNotExist`` where it is for an area out of reach."""
    return uploads_for(user).get(pk=pk)


def unmapped_for(user: Any, pk: int) -> UnmappedFile:
    """A file of ``user``'s own that waits for its columns to be named, with its area.

    Raises ``UnmappedFile.DoesNotExist`` where it is another's, or for an area out of reach.
    """
    mine = UnmappedFile.objects.select_related("area").filter(by=user)
    return mine.filter(area__in=areas_for(user)).get(pk=pk)


def mapping_of(district: Any, signature: str) -> ColumnMapping | None:
    """What was said of files with these headings in ``district`` the last time; one query."""
    return ColumnMapping.objects.filter(district=district, signature=signature).first()


def workbooks_given_out(area: Any) -> QuerySet[Workbook]:
    """Workbooks of ``area`` and of those below it, newest first; one query."""
    return Workbook.objects.filter(area__path__startswith=area.path).select_related(
        "area", "facility", "by"
    )


def proposals_of(
    upload: Upload, sheet: str, verdict: str, start: int, count: int
) -> list[dict[str, Any]]:
    """Rows ``start`` to ``start + count`` of those of ``sheet`` with ``verdict``, as they are
    kept (``adapters.proposing``); one query."""
    pieces = ProposalPiece.objects.filter(
        upload=upload, sheet=sheet, verdict=verdict, first__lt=start + count
    ).order_by("first")
    found: list[dict[str, Any]] = []
    for piece in pieces.filter(first__gt=start - F("row_count")):
        rows = json.loads(zlib.decompress(bytes(piece.content)))
        found += rows[max(0, start - piece.first) : start + count - piece.first]
    return found


class ProposalRows:
    """The rows of a sheet with one verdict, as long as they are, read where they are asked for."""

    def __init__(self, upload: Upload, sheet: str, verdict: str) -> None:
        self._place = (upload, sheet, verdict)
        self._count = upload.counts.get(sheet, {}).get(verdict, 0)

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, part: slice) -> list[dict[str, Any]]:
        start, stop, _ = part.indices(self._count)
        return proposals_of(*self._place, start, max(0, stop - start))


def proposal_rows(upload: Upload, sheet: str, verdict: str) -> ProposalRows:
    """The rows of ``sheet`` with ``verdict``, for a pager; a query for each page."""
    return ProposalRows(upload, sheet, verdict)
