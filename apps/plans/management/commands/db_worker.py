"""The worker of ``django_tasks_db``, which here first looks for runs that a worker left behind."""

import os
import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django_tasks_db.management.commands.db_worker import Command as Worker

from apps.plans.services import mark_interrupted

SECONDS_BETWEEN_LOOKS = 1


class Command(Worker):
    help = "Compute the plans that wait, until stopped. As many workers as you like may run."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--with-parent",
            action="store_true",
            help="end when the process that started this one has ended",
        )

    def handle(self, *, with_parent: bool = False, **options: Any) -> None:
        if with_parent:
            threading.Thread(target=_end_with, args=(os.getppid(),), daemon=True).start()
        mark_interrupted()
        super().handle(**options)


def _end_with(parent: int) -> None:
    """Ask this process to end once ``parent`` is gone and somebody else has adopted it."""
    while os.getppid() == parent:
        threading.Event().wait(SECONDS_BETWEEN_LOOKS)
    os.kill(os.getpid(), signal.SIGTERM)
