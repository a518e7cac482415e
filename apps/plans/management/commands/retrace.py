"""``manage.py retrace``: is an old plan still what its case leads to?"""

import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from apps.coverage.selectors import read_document
from apps.plans.management.retracing import retrace
from apps.plans.models import Run
from planner.engine.case import Case, Result
from planner.engine.errors import EngineError


class Command(BaseCommand):
    help = (
        "Compute a finished run again from the case it kept, and say whether the same comes out,"
        " to the last digit, or what differs. The kept result is judged too, without the"
        " optimiser. Changes nothing. Exit code 0: the same; 1: something differs; 2: no such run."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("run", type=int, help="number of the run, as in its address")

    def handle(self, *, run: int, **options: Any) -> None:
        kept = Run.objects.select_related("plan").filter(pk=run).first()
        if kept is None or kept.result_id is None:
            raise CommandError(f"There is no run {run} with a result.", returncode=2)
        case = Case.read(read_document(kept.case_id))
        result = Result.read(read_document(kept.result_id))
        self.stdout.write(f"Run {run} of {kept.plan.title!r}, case {kept.case_id}")
        self.stdout.write(f"Engine then {kept.engine_version}, now {settings.VERSION}")
        try:
            found = retrace(case, result, gap=kept.plan.gap, seconds=kept.plan.time_limit_s)
        except EngineError as error:
            raise CommandError(str(error)) from error
        if found.same:
            self.stdout.write("The same: every action, volume and figure, to the last digit.")
            return
        for fault in found.faults:
            self.stderr.write(f"The kept result breaks a rule: {fault}")
        for line in found.differences:
            self.stderr.write(f"Differs: {line}")
        sys.exit(1)
