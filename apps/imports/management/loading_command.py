"""What the commands that load a folder have in common."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from apps.imports.services import Loaded, LoadError

MISTAKES = 2


class LoadingCommand(BaseCommand):
    """Load the folder named on the command line; exit code 2 with a line for each mistake."""

    load: Callable[..., Loaded]

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path, metavar="DIR", help="the folder of CSV files")

    def handle(self, *, folder: Path, verbosity: int, **options: Any) -> None:
        try:
            loaded = type(self).load(folder=folder, by=None)
        except LoadError as error:
            for problem in error.problems:
                self.stderr.write(str(problem))
            self.stderr.write(str(error))
            sys.exit(MISTAKES)
        if verbosity:
            self.stdout.writelines(_lines(loaded))


def _lines(loaded: Loaded) -> Iterator[str]:
    for file, change in loaded.changes.items():
        counts = ", ".join(f"{count} {what}" for what, count in change.counts.items())
        yield f"{file}: {counts}\n"
