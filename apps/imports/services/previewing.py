"""From a file that waits to what it would change: read, compared, kept for a look."""

import logging
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import ForeignKey
from django.utils import timezone

from apps.audit.services import record
from apps.imports.adapters.given_out import GivenOut, given_out_of, workbook_of
from apps.imports.adapters.proposing import Proposer
from apps.imports.adapters.readers import READERS
from apps.imports.adapters.scoping import Scope
from apps.imports.adapters.sources import RefusedFileError, SourceSheet
from apps.imports.choices import UploadState, Verdict
from apps.imports.models import Upload, UploadContent
from apps.imports.services.pieces import Pieces
from apps.imports.services.progress import CancelledError, claim, finish, tell
from apps.imports.services.receiving import drop

log = logging.getLogger(__name__)

WORKER_ENDED = "The worker was stopped before the file was read. Read it again."
OUR_FAULT = (
    "Something went wrong on our side; nothing was changed. Read the file again. If it fails"
    " again, tell whoever runs the service: upload {upload}, {at:%Y-%m-%d %H:%M} UTC."
)


def read_upload(upload_id: int) -> None:
    """Read the waiting upload ``upload_id`` and keep what it would change, for a look.

    Does nothing where the upload does not wait any more. Writes nothing to the register.
    """
    upload = claim(upload_id, UploadState.WAITING, UploadState.READING, "reading the file")
    if upload is None:
        return
    try:
        _Preview(upload).keep()
    except RefusedFileError as refused:
        _end(upload, UploadState.REFUSED, str(refused))
    except CancelledError:
        _end(upload, UploadState.CANCELLED, "")
    except Exception:
        log.exception("Upload %s could not be read", upload_id)
        message = OUR_FAULT.format(upload=upload_id, at=timezone.now())
        _end(upload, UploadState.INTERRUPTED, message)
    except BaseException:
        _end(upload, UploadState.INTERRUPTED, WORKER_ENDED)
        raise


@transaction.atomic
def _end(upload: Upload, state: UploadState, message: str) -> None:
    if state == UploadState.INTERRUPTED:
        # The file stays, so that it can be read again.
        upload.pieces.all().delete()
    else:
        drop(upload)
    finish(upload, state, message)
    record(f"upload.{state}", by=upload.by, obj=upload, after={"message": message})


class _Preview:
    """What one file would change, being gathered."""

    def __init__(self, upload: Upload) -> None:
        self._upload = upload
        self._scope = Scope(upload.by, upload.area)
        self._counts: dict[str, dict[str, Any]] = {}
        self._notes: list[str] = []
        self._done = 0

    def keep(self) -> None:
        """Read all sheets, then let the upload wait for somebody to look at it."""
        content = bytes(UploadContent.objects.get(upload=self._upload).content)
        how = {"area": self._upload.area.code, **self._upload.how}
        source = READERS[self._upload.kind](self._upload.file_name, content, how)
        workbook = workbook_of(source, self._upload)
        self._scope.expect(
            each.related_model
            for sheet in source.sheets
            for each in sheet.table.fields.values()
            if isinstance(each, ForeignKey)
        )
        totals = [sheet.row_count for sheet in source.sheets]
        total = None if None in totals else sum(filter(None, totals))
        for sheet in source.sheets:
            self._keep_sheet(sheet, given_out_of(workbook, sheet), total)
        self._notes += [*source.notes, *_notes_on(self._upload, self._counts)]
        with transaction.atomic():
            finish(
                self._upload,
                UploadState.PREVIEWED,
                counts=self._counts,
                notes=self._notes,
                workbook=workbook,
                rows_done=self._done,
            )
            after = {"file": self._upload.file_name, "counts": self._counts}
            record("upload.previewed", by=self._upload.by, obj=self._upload, after=after)

    def _keep_sheet(
        self, sheet: SourceSheet, given_out: GivenOut | None, total: int | None
    ) -> None:
        proposer = Proposer(sheet, self._scope, given_out)
        pieces = Pieces(self._upload, sheet.table.file)
        for count, batch in proposer.batches():
            for verdict, proposal in batch:
                pieces.add(verdict, proposal)
            self._done += count
            tell(self._upload, self._done, total)
        pieces.flush()
        counts = {str(verdict): pieces.counts[verdict] for verdict in Verdict}
        self._counts[sheet.table.file] = {
            "title": sheet.title,
            **counts,
            "unchanged": proposer.unchanged,
            "blank": proposer.blank,
        }
        if given_out is not None and (absent := len(given_out) - proposer.seen):
            rows = "a row" if absent == 1 else f"{absent} rows"
            self._notes.append(
                f"{sheet.title}: the file is without {rows} that the workbook was given out with."
                " Nothing is removed by an upload."
            )


def _notes_on(upload: Upload, counts: Mapping[str, Mapping[str, Any]]) -> list[str]:
    notes = []
    earlier = Upload.objects.filter(sha256=upload.sha256, state=UploadState.APPLIED).first()
    if earlier is not None:
        notes.append(f"The same file was applied on {earlier.applied_at:%Y-%m-%d %H:%M} UTC.")
    if not any(sheet[verdict] for sheet in counts.values() for verdict in Verdict):
        notes.append("The register says all of this already: there is nothing to change.")
    return notes
