"""What was proposed and accepted, into the register; and out of it again. Whole or not at all."""

import logging
from collections.abc import Callable
from typing import Any

from django.db import transaction
from django.utils import timezone

from apps.accounts.models import User
from apps.audit.services import record
from apps.imports.adapters.edits import edits_of
from apps.imports.adapters.tables import TABLES
from apps.imports.choices import UploadState, Verdict
from apps.imports.models import ProposalPiece, Upload, UploadContent
from apps.imports.services.editing import NotAsExpectedError, Register
from apps.imports.services.progress import claim, finish, held
from apps.imports.services.trails import Trail
from apps.inventory.services import end_outdated

log = logging.getLogger(__name__)

OUR_FAULT = (
    "Something went wrong on our side; nothing was changed. Try again. If it fails again, tell"
    " whoever runs the service: upload {upload}, {at:%Y-%m-%d %H:%M} UTC."
)


def carry_out_upload(upload_id: int) -> None:
    """Write what was accepted of the upload ``upload_id`` into the register, in one transaction.

    Where the register has changed since the preview, or a row cannot stand without one that
    was left out, nothing is written and the upload says why and what to do.
    """
    _in_one_step(upload_id, UploadState.APPLYING, UploadState.PREVIEWED, _apply)


def take_back_upload(upload_id: int) -> None:
    """Undo all that the upload ``upload_id`` wrote, in one transaction.

    Where anything of it has been changed since, or rests on what it added, nothing is undone
    and the upload says what and why.
    """
    _in_one_step(upload_id, UploadState.UNDOING, UploadState.APPLIED, _undo)


def _in_one_step(
    upload_id: int, state: UploadState, back_to: UploadState, work: Callable[[Upload], None]
) -> None:
    upload = claim(upload_id, state, state, "writing the register")
    if upload is None:
        return
    try:
        with transaction.atomic():
            upload = held(upload_id)
            if upload.state == state:
                work(upload)
        return
    except NotAsExpectedError as refused:
        message = str(refused)
    except Exception:
        log.exception("Upload %s could not be written", upload_id)
        message = OUR_FAULT.format(upload=upload_id, at=timezone.now())
    except BaseException:
        _put_back(upload, back_to, "The worker was stopped; nothing was changed. Try again.")
        raise
    _put_back(upload, back_to, message)


@transaction.atomic
def _put_back(upload: Upload, state: UploadState, message: str) -> None:
    finish(upload, state, message)
    record("upload.refused", by=upload.by, obj=upload, after={"message": message})


def _apply(upload: Upload) -> None:
    by = upload.applied_by
    register = Register(by, upload.area)
    outcome: dict[str, dict[str, int]] = {}
    trail = Trail()
    for file in [name for name in TABLES if name in upload.counts]:
        done = outcome[file] = {"created": 0, "changed": 0}
        for piece in _pieces(upload, file):
            edits = edits_of(piece.verdict, bytes(piece.content), upload.choice.get(file, {}))
            register.write(TABLES[file], edits)
            trail.add(file, edits)
            done["created"] += sum(edit.is_new for edit in edits)
            done["changed"] += sum(not edit.is_new for edit in edits)
        register.renew(TABLES[file])
    if not trail.rows:
        raise NotAsExpectedError(
            "Nothing is chosen that would change the register.", remedy="Choose rows to apply."
        )
    end_outdated(by=by)
    _finish(upload, UploadState.APPLIED, by, trail, outcome=outcome, applied_at=timezone.now())
    UploadContent.objects.filter(upload=upload).delete()


def _undo(upload: Upload) -> None:
    by = upload.undone_by
    register = Register(by, upload.area)
    trail = Trail()
    for file in [name for name in reversed(TABLES) if name in upload.counts]:
        for piece in reversed(list(_pieces(upload, file))):
            edits = edits_of(piece.verdict, bytes(piece.content), upload.choice.get(file, {}))
            register.take_back(TABLES[file], edits)
            trail.add(file, [edit.reversed() for edit in edits])
        register.renew(TABLES[file])
    end_outdated(by=by)
    _finish(upload, UploadState.UNDONE, by, trail, undone_at=timezone.now())


def _pieces(upload: Upload, file: str) -> Any:
    pieces = ProposalPiece.objects.filter(upload=upload, sheet=file)
    return pieces.exclude(verdict=Verdict.REFUSED).order_by("verdict", "first").iterator()


def _finish(
    upload: Upload, state: UploadState, by: User | None, trail: Trail, **values: Any
) -> None:
    finish(upload, state, **values)
    after = {
        "file": upload.file_name,
        "sha256": upload.sha256,
        "rows": trail.rows,
        "changes_sha256": trail.digest,
        "changed": trail.after,
    }
    record(f"upload.{state}", by=by, obj=upload, before={"changed": trail.before}, after=after)
