"""What the worker does with uploads; ``manage.py db_worker`` runs it."""

from collections.abc import Callable
from contextlib import AbstractContextManager

from django_tasks import task

from apps.imports.services import (
    beat_upload,
    carry_out_upload,
    mark_uploads_interrupted,
    read_upload,
    take_back_upload,
)
from planner.operations import heartbeats


@task()
def read_file(upload_id: int) -> None:
    """Read one file and keep what it would change."""
    _alive(read_upload, upload_id)


@task()
def apply_proposals(upload_id: int) -> None:
    """Write what was accepted of one upload."""
    _alive(carry_out_upload, upload_id)


@task()
def take_back(upload_id: int) -> None:
    """Undo one upload."""
    _alive(take_back_upload, upload_id)


def _alive(work: Callable[[int], None], upload_id: int) -> None:
    mark_uploads_interrupted()
    with _beating(upload_id):
        work(upload_id)


def _beating(upload_id: int) -> AbstractContextManager[None]:
    """Give signs of life of an upload while its file is read or its rows are written."""
    return heartbeats.beating(lambda: beat_upload(upload_id), f"upload {upload_id}")
