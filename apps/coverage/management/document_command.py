"""What the commands on case and result files share: how they teach, refuse and end."""

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import (
    BaseCommand,
    CommandError,
    CommandParser,
    DjangoHelpFormatter,
)

from planner.engine.errors import EngineError, InputError

STOPPED, READER_GONE = 130, 141  # 128 + SIGINT, 128 + SIGPIPE, as a shell counts


class _HelpFormatter(argparse.RawDescriptionHelpFormatter, DjangoHelpFormatter):
    """Keeps the line breaks of the description and of the examples."""


class DocumentCommand(BaseCommand):
    """A command on files alone, which works without a database.

    A document with mistakes ends it with exit code 2 and a line on stderr for each; a
    problem of the engine with 1; an interruption from the keyboard with 130.
    """

    requires_system_checks: list[str] = []
    teaching = ""
    """Examples and exit codes, shown below the options by ``--help``."""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(
            prog_name, subcommand, formatter_class=_HelpFormatter, epilog=self.teaching, **kwargs
        )

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            output = super().execute(*args, **options)
            self.stdout.flush()
        except InputError as error:
            for line in error.problems:
                self.stderr.write(line)
            if error.count > len(error.problems):
                self.stderr.write(f"... and {error.count - len(error.problems)} more")
            raise CommandError(str(error), returncode=2) from error
        except EngineError as error:
            raise CommandError(str(error)) from error
        except KeyboardInterrupt as error:
            raise CommandError("Stopped before it was done.", returncode=STOPPED) from error
        except BrokenPipeError:
            # As in ``| head``: who reads our output has enough. What is still buffered
            # must go somewhere, or Python complains about it on the way out.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(READER_GONE)
        return output

    def deliver(self, text: str, out: Path | None) -> None:
        """Write ``text`` to the file ``out``, or to stdout if there is none."""
        if out is None:
            self.stdout.write(text)
            return
        try:
            out.write_text(text if text.endswith("\n") else f"{text}\n", encoding="utf-8")
        except OSError as error:
            problem = f"{out}: cannot be written ({error.strerror})"
            raise CommandError(problem, returncode=2) from error


def output_path(text: str) -> Path:
    """An argument that names a file to write; refused before any work if it cannot be one."""
    path = Path(text)
    if path.is_dir() or not path.parent.is_dir():
        reason = "it is a directory" if path.is_dir() else "its directory does not exist"
        raise argparse.ArgumentTypeError(f"{text} cannot be written: {reason}")
    return path
