import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from apps.audit.selectors import chain_state, position_of


class Command(BaseCommand):
    help = (
        "Check that no entry of the history was changed, removed or put in. Keep the digest that"
        " it prints outside the database; given back with --kept, it shows that everything up to"
        " that entry is as it was. Exit code 1: something does not hold."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--kept", metavar="DIGEST", help="a digest that was printed earlier")

    def handle(self, *args: Any, **options: Any) -> None:
        state = chain_state()
        if state.broken_at is not None:
            self._stop(
                f"The history is broken: entry {state.broken_at} does not follow from the one"
                " before it.\nIt was changed, or entries before it were removed or put in."
                " Compare with a backup."
            )
        if state.missing:
            missing = "1 entry is" if state.missing == 1 else f"{state.missing} entries are"
            self._stop(
                f"The history is broken: {missing} missing at its end. Compare with a backup."
            )
        if options["kept"]:
            self._compare(options["kept"])
        number = "1 entry" if state.entries == 1 else f"{state.entries} entries"
        self.stdout.write(f"The history holds: {number}, each following from the one before.")
        self.stdout.write(f"Digest of the last: {state.digest or 'none yet'}")

    def _compare(self, kept: str) -> None:
        position = position_of(kept)
        if position is None:
            self._stop(
                "The history is broken: it holds no entry with the kept digest. It was written"
                " anew after the digest was kept. Compare with a backup."
            )
        self.stdout.write(f"All is as it was: the kept digest is that of entry {position}.")

    def _stop(self, why: str) -> None:
        self.stderr.write(why)
        sys.exit(1)
