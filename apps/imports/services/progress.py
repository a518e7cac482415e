"""An upload between its states: who has it in hand, how far it got, and how that ends."""

import datetime as dt

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from apps.audit.services import record
from apps.imports.choices import AT_WORK, UploadState
from apps.imports.models import Upload

STOPPED = (
    "The work stopped at {at:%H:%M:%S} UTC on {at:%Y-%m-%d}: its worker was ended, or the machine"
    " lost power. The register is as it was before."
)
# Where an upload is put back to when its worker is gone; the register was not touched.
BACK_TO = {
    UploadState.READING: UploadState.INTERRUPTED,
    UploadState.APPLYING: UploadState.PREVIEWED,
    UploadState.UNDOING: UploadState.APPLIED,
}


class CancelledError(Exception):
    """Somebody asked for the work to stop."""


def claim(upload_id: int, state: UploadState, then: UploadState, phase: str) -> Upload | None:
    """Take an upload that is in ``state``; ``None`` where somebody took or cancelled it."""
    now = timezone.now()
    waiting = Upload.objects.filter(pk=upload_id, state=state, heartbeat_at=None)
    taken = waiting.filter(cancel_requested=False).update(
        state=then, heartbeat_at=now, phase=phase, rows_done=0
    )
    return Upload.objects.select_related("area", "by").get(pk=upload_id) if taken else None


def beat_upload(upload_id: int) -> None:
    """A sign of life of an upload that is at work."""
    Upload.objects.filter(pk=upload_id, state__in=AT_WORK).update(heartbeat_at=timezone.now())


def tell(upload: Upload, rows_done: int, rows_total: int | None) -> None:
    """Let the upload show how far its reading got; raises ``CancelledError`` if it is to stop."""
    going_on = Upload.objects.filter(
        pk=upload.pk, state=UploadState.READING, cancel_requested=False
    ).update(heartbeat_at=timezone.now(), rows_done=rows_done, rows_total=rows_total)
    if not going_on:
        raise CancelledError


def finish(upload: Upload, state: UploadState, message: str = "", **values: object) -> None:
    """Set the state that the work ended in, with what went wrong and what to do."""
    values = {"state": state, "message": message, "phase": "", "heartbeat_at": None, **values}
    for name, value in values.items():
        setattr(upload, name, value)
    upload.save(update_fields=list(values))


def held(upload_id: int) -> Upload:
    """The upload, nobody else's until the transaction ends."""
    return Upload.objects.select_for_update(of=("self",)).select_related("area").get(pk=upload_id)


def mark_uploads_interrupted() -> int:
    """Put back the uploads whose worker died; how many there were. One query where none is.

    A worker writes in one transaction, so the register is as it was before.
    """
    lost_before = timezone.now() - dt.timedelta(seconds=settings.RUN_LOST_AFTER_SECONDS)
    lost = Upload.objects.filter(state__in=AT_WORK, heartbeat_at__lt=lost_before)
    if not lost.exists():
        return 0
    with transaction.atomic():
        uploads = list(lost.select_for_update(of=("self",)))
        for upload in uploads:
            at = upload.heartbeat_at
            if upload.state == UploadState.READING:
                upload.pieces.all().delete()
            finish(upload, BACK_TO[upload.state], STOPPED.format(at=at))
            record("upload.interrupted", by=None, obj=upload, after={"heartbeat_at": at})
    return len(uploads)
