"""What the worker does. ``manage.py db_worker`` runs it, in as many processes as wanted."""

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import DatabaseError, connection
from django_tasks import task

from apps.plans.services import beat, compute_run, mark_interrupted

log = logging.getLogger(__name__)


@task()
def run_plan(run_id: int) -> None:
    """Compute one run; its heart beats as long as this process lives."""
    mark_interrupted()
    with beating(run_id):
        compute_run(run_id)


@contextmanager
def beating(run_id: int) -> Iterator[None]:
    """Give signs of life of ``run_id`` from a thread of its own, whatever the solver is at."""
    done = threading.Event()
    heart = threading.Thread(target=_beat_until, args=(done, run_id), name=f"heart-{run_id}")
    heart.start()
    try:
        yield
    finally:
        done.set()
        heart.join()


def _beat_until(done: threading.Event, run_id: int) -> None:
    try:
        while not done.wait(settings.HEARTBEAT_SECONDS):
            try:
                beat(run_id)
            except DatabaseError:
                # One beat too few does no harm; a run is lost after many.
                log.warning("A heartbeat of run %s was not written", run_id, exc_info=True)
    finally:
        # A connection belongs to its thread; nobody else could close this one.
        connection.close()
