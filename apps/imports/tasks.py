"""What the worker does with uploads; ``manage.py db_worker`` runs it."""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import DatabaseError, connection
from django_tasks import task

from apps.imports.services import (
    beat_upload,
    carry_out_upload,
    mark_uploads_interrupted,
    read_upload,
    take_back_upload,
)

log = logging.getLogger(__name__)


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


@contextmanager
def _beating(upload_id: int) -> Iterator[None]:
    """Give signs of life of an upload from a thread of its own."""
    done = threading.Event()
    heart = threading.Thread(
        target=_beat_until, args=(done, upload_id), name=f"upload-heart-{upload_id}"
    )
    heart.start()
    try:
        yield
    finally:
        done.set()
        heart.join()


def _beat_until(done: threading.Event, upload_id: int) -> None:
    try:
        while not done.wait(settings.HEARTBEAT_SECONDS):
            try:
                beat_upload(upload_id)
            except DatabaseError:
                # While the register is written, another connection may have to wait too long.
                log.warning("A heartbeat of upload %s was not written", upload_id, exc_info=True)
    finally:
        connection.close()
