"""Signs of life of work that takes long, whatever the worker is at meanwhile."""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import DatabaseError, connection

log = logging.getLogger(__name__)


@contextmanager
def beating(beat: Callable[[], None], name: str) -> Iterator[None]:
    """Call ``beat`` every ``HEARTBEAT_SECONDS`` from a thread of its own, until the work ends.

    ``name`` is what the work is called in the log and in the list of threads.
    """
    done = threading.Event()
    heart = threading.Thread(target=_beat_until, args=(done, beat, name), name=f"heart of {name}")
    heart.start()
    try:
        yield
    finally:
        done.set()
        heart.join()


def _beat_until(done: threading.Event, beat: Callable[[], None], name: str) -> None:
    try:
        while not done.wait(settings.HEARTBEAT_SECONDS):
            try:
                beat()
            except DatabaseError:
                # One beat too few does no harm; work is lost after many. While somebody writes
                # a lot, another connection may have to wait too long.
                log.warning("A heartbeat of %s was not written", name, exc_info=True)
    finally:
        # A connection belongs to its thread; nobody else could close this one.
        connection.close()
