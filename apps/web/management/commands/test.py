"""``manage.py test``: pytest, in place of Django's own runner."""

import importlib.util
import os
import subprocess
import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

NO_TOOLS = (
    "The development tools are not installed here. Run python3 manage.py test with the "
    "system's Python, outside any virtual environment: it installs them first."
)


class Command(BaseCommand):
    help = "Runs the test suite with pytest; every argument goes to pytest as it is."
    requires_system_checks: list[str] = []

    def run_from_argv(self, argv: list[str]) -> None:
        """Pass the arguments on unread, since pytest has options of its own."""
        try:
            sys.exit(self.handle(arguments=argv[2:]))
        except CommandError as error:
            sys.exit(str(error))

    def handle(self, *, arguments: list[str], **_: Any) -> int:
        """Exit code of pytest.

        A process of its own: in this one Django is set up already, with the service's
        settings and not with those of the tests.
        """
        if importlib.util.find_spec("pytest") is None:
            raise CommandError(NO_TOOLS)
        environment = {k: v for k, v in os.environ.items() if k != "DJANGO_SETTINGS_MODULE"}
        settings_of_pytest = str(settings.ROOT / "pyproject.toml")
        command = [sys.executable, "-m", "pytest", "-c", settings_of_pytest, *arguments]
        return subprocess.run(command, env=environment, check=False).returncode  # noqa: S603
