from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from django.utils import timezone

from planner.operations.backups import BackupError, check, take


class Command(BaseCommand):
    help = (
        "Copy the database into a folder while the service runs, read the copy back, and write"
        " its digest beside it. Keep the folder on another machine."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path)

    def handle(self, *, folder: Path, **options: Any) -> None:
        database = connection.settings_dict
        try:
            manifest = take(
                database,
                connection.vendor,
                folder,
                version=settings.VERSION,
                now=timezone.now(),
            )
            check(manifest)
        except BackupError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{manifest}")
