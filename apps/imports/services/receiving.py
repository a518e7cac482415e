"""Files that come in, and what people decide about them; the work itself is a worker's."""

import hashlib
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils.module_loading import import_string

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.facilities.models import Area
from apps.facilities.selectors import areas_for
from apps.imports.choices import UploadKind, UploadState
from apps.imports.models import Upload, UploadContent
from apps.imports.services.progress import finish, held

MOST_BYTES = 50 * 2**20
# By name, since the tasks are written over these services.
READ, APPLY, UNDO = (
    f"apps.imports.tasks.{name}" for name in ("read_file", "apply_proposals", "take_back")
)


@transaction.atomic
def receive_upload(
    *,
    file_name: str,
    content: bytes,
    area: Area,
    by: User,
    kind: str = UploadKind.WORKBOOK,
    how: Mapping[str, Any] | None = None,
) -> Upload:
    """Keep a file and queue its reading; nothing of it gets into the register by this.

    ``area``: rows about anything outside it will be refused. Raises ``PermissionDenied`` where
    ``by`` may not, ``ValidationError`` for an empty file or one of more than 50 MB.
    """
    require(by, "register.change")
    if not areas_for(by).filter(pk=area.pk).exists():
        raise PermissionDenied(f"{area} is not one of your areas. Choose one that is.")
    check_content(content)
    upload = Upload.objects.create(
        kind=kind,
        file_name=file_name[-200:],
        sha256=hashlib.sha256(content).hexdigest(),
        size_bytes=len(content),
        area=area,
        by=by,
        how=dict(how or {}),
    )
    UploadContent.objects.create(upload=upload, content=content)
    record("upload.received", by=by, obj=upload, after=_named(upload))
    hand_on(READ, upload)
    return upload


def check_content(content: bytes) -> None:
    """Stop with ``ValidationError`` unless ``content`` is a file that can be kept at all."""
    if not content:
        raise ValidationError({"file": "The file is empty. Save it again and choose it anew."})
    if len(content) > MOST_BYTES:
        size = f"{len(content) / 2**20:.0f} MB, expected at most {MOST_BYTES / 2**20:.0f} MB"
        raise ValidationError({"file": f"The file has {size}. Part it."})


@transaction.atomic
def read_again(*, upload: Upload, by: User) -> Upload:
    """Compare a file once more, with the register as it is now; what was chosen is forgotten.

    Raises ``ValidationError`` where the file is not kept any more, or somebody has it in hand.
    """
    require(by, "register.change")
    upload = held(upload.pk)
    expect(upload, UploadState.PREVIEWED, UploadState.INTERRUPTED)
    upload.pieces.all().delete()
    finish(upload, UploadState.WAITING, counts={}, notes=[], choice={}, cancel_requested=False)
    record("upload.read-again", by=by, obj=upload, after=_named(upload))
    hand_on(READ, upload)
    return upload


def drop(upload: Upload) -> None:
    """The file, and what it would have changed."""
    upload.pieces.all().delete()
    UploadContent.objects.filter(upload=upload).delete()


def expect(upload: Upload, *states: UploadState) -> None:
    if upload.state not in states:
        expected = " or ".join(f"“{state.label.lower()}”" for state in states)
        raise ValidationError(
            f"The upload is “{upload.get_state_display().lower()}”, expected {expected}."
            " Look at its page to see how it stands.",
            code="state",
        )


def _named(upload: Upload) -> dict[str, Any]:
    return {"file": upload.file_name, "sha256": upload.sha256, "bytes": upload.size_bytes}


def hand_on(name: str, upload: Upload) -> None:
    task = import_string(name)
    transaction.on_commit(lambda: task.enqueue(upload.pk))
