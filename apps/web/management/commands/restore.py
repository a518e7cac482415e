from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from planner.operations.backups import BackupError, check, restore


class Command(BaseCommand):
    help = (
        "Check a backup, or put it in the place of the database. Stop the service before putting"
        " one back, and run migrate and check_history after it."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("manifest", type=Path, help="the .json file that backup printed")
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument(
            "--check", action="store_true", help="only read it and say if it is whole"
        )
        what.add_argument(
            "--replace", action="store_true", help="put it in the place of the present database"
        )

    def handle(self, *, manifest: Path, replace: bool, **options: Any) -> None:
        try:
            if replace:
                connection.close()
                found = restore(manifest, connection.settings_dict, connection.vendor)
            else:
                found = check(manifest)
        except BackupError as error:
            raise CommandError(str(error)) from error
        done = "put back" if replace else "whole"
        self.stdout.write(f"The copy of {found.taken_at}, version {found.version}, is {done}.")
