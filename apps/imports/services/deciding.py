"""What people decide about a file that was looked at; the work itself is a worker's."""

from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.imports.choices import UploadState
from apps.imports.models import Upload
from apps.imports.services.progress import finish, held
from apps.imports.services.receiving import APPLY, UNDO, drop, expect, hand_on

CANCELLABLE = (UploadState.WAITING, UploadState.READING, UploadState.PREVIEWED,
               UploadState.INTERRUPTED)  # fmt: skip


@transaction.atomic
def choose_from_upload(
    *,
    upload: Upload,
    by: User,
    sheet: str,
    leave: bool | None = None,
    shown: Collection[int] = (),
    wanted: Collection[int] = (),
    taken: Collection[int] = (),
) -> Upload:
    """Choose what of ``sheet`` is to be applied: nothing (``leave``), or row by row.

    Of the rows in the lines ``shown``, those in ``wanted`` are to be applied; of fields that
    both changed, the file's value wins in the lines ``taken`` and the register's in others.
    Without any choice all is applied, and the register wins where both changed.
    """
    require(by, "register.change")
    upload = held(upload.pk)
    expect(upload, UploadState.PREVIEWED)
    if sheet not in upload.counts:
        raise ValidationError({"sheet": f"The file has no sheet {sheet}."})
    before = upload.choice.get(sheet, {})
    without, takes = set(before.get("without", ())), set(before.get("take", ()))
    after = {
        "leave": before.get("leave", False) if leave is None else leave,
        "without": sorted(without - set(shown) | set(shown) - set(wanted)),
        "take": sorted(takes - set(shown) | set(taken) & set(shown)),
    }
    upload.choice = {**upload.choice, sheet: after}
    upload.save(update_fields=["choice"])
    record("upload.chosen", by=by, obj=upload, before={sheet: before}, after={sheet: after})
    return upload


@transaction.atomic
def apply_upload(*, upload: Upload, by: User) -> Upload:
    """Queue the writing of what was chosen; it is written whole or not at all.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` where the upload is
    not one that was looked at and waits for this.
    """
    require(by, "register.change")
    upload = held(upload.pk)
    expect(upload, UploadState.PREVIEWED)
    finish(upload, UploadState.APPLYING, applied_by=by)
    record("upload.accepted", by=by, obj=upload, after={"choice": upload.choice})
    hand_on(APPLY, upload)
    return upload


@transaction.atomic
def undo_upload(*, upload: Upload, by: User) -> Upload:
    """Queue the undoing of all that ``upload`` changed, as one step.

    It is refused, later, where anything of it has been changed since. Raises
    ``PermissionDenied`` where ``by`` may not, ``ValidationError`` where it is not applied.
    """
    require(by, "register.change")
    upload = held(upload.pk)
    expect(upload, UploadState.APPLIED)
    finish(upload, UploadState.UNDOING, undone_by=by)
    record("upload.undo-asked", by=by, obj=upload)
    hand_on(UNDO, upload)
    return upload


@transaction.atomic
def cancel_upload(*, upload: Upload, by: User) -> Upload:
    """Give an upload up: the file and what it would change are dropped; nothing was written.

    One that is being read stops within seconds. Raises ``ValidationError`` where it is being
    written or has been: that can be undone.
    """
    require(by, "register.change")
    upload = held(upload.pk)
    expect(upload, *CANCELLABLE)
    if upload.state == UploadState.READING:
        upload.cancel_requested = True
        upload.save(update_fields=["cancel_requested"])
        record("upload.cancel-requested", by=by, obj=upload)
        return upload
    drop(upload)
    finish(upload, UploadState.CANCELLED, cancel_requested=True)
    record("upload.cancelled", by=by, obj=upload)
    return upload
