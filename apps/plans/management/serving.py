"""The pages and one worker beside them, until Ctrl-C or the signal to end."""

import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.conf import settings
from django.core.management.base import CommandError
from django.core.servers.basehttp import WSGIServer, get_internal_wsgi_application, run

HOST = "127.0.0.1"
SECONDS_TO_END = 5


def require_free(port: int) -> None:
    """Stop with what to do about it where another program listens on ``port``."""
    with socket.socket() as probe:
        # As the server will: a port that was just left is free, one that is in use is not.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise CommandError(
                f"Port {port} cannot be used ({error.strerror}). If another program has it, choose"
                f" another port: python3 manage.py demo --port {port + 1}"
            ) from error


def serve(port: int, *, ready: Callable[[], None]) -> None:
    """Serve the pages on ``port`` with a worker beside; ``ready`` is called once both are up."""
    with _ending_on_signals(), _worker():
        try:
            run(
                HOST,
                port,
                get_internal_wsgi_application(),
                threading=True,
                on_bind=lambda _: ready(),
                server_cls=WSGIServer,
            )
        except KeyboardInterrupt:
            return


@contextmanager
def _worker() -> Iterator[None]:
    """One worker in a process of its own; it ends with this one, whatever ends this one."""
    worker = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "django",
            "db_worker",
            "--with-parent",
            "--interval",
            "0.5",
            "-v",
            "0",
        ],
        cwd=settings.ROOT,
        # Ctrl-C at the terminal is ours to hand on, once.
        start_new_session=True,
    )
    try:
        yield
    finally:
        worker.terminate()
        try:
            worker.wait(SECONDS_TO_END)
        except subprocess.TimeoutExpired:
            # It is in the middle of a run. A second signal makes it give that up and say so.
            worker.terminate()
            try:
                worker.wait(SECONDS_TO_END)
            except subprocess.TimeoutExpired:
                worker.kill()
                worker.wait()


@contextmanager
def _ending_on_signals() -> Iterator[None]:
    """Take the signal to end as Ctrl-C, so that the worker is ended too."""

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
