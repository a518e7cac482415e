"""``manage.py demo``: the invented district, loaded, planned for and served."""

import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from apps.coverage.choices import State
from apps.imports.services import LoadError
from apps.plans.management.demo_district import PEOPLE, Demo, prepare
from apps.plans.management.serving import HOST, require_free, serve
from planner.engine.allocation import gap_at_most


class Command(BaseCommand):
    help = (
        "Load the catalogue and the invented district, work out what its sites can do, compute "
        "a plan, print a summary, and serve the pages with a worker. Steps that an earlier "
        "start has done are skipped. Ctrl-C ends both."
    )
    requires_system_checks: list = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop after the summary")
        parser.add_argument("--port", type=int, default=8000, help="of the pages (8000)")
        parser.add_argument(
            "--fixtures",
            type=Path,
            default=settings.ROOT / "fixtures",
            help="folder with the folders catalogue and demo",
        )

    def handle(self, *, no_serve: bool, port: int, fixtures: Path, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError(
                "The demo makes people whose password is printed, so it does not run with"
                " PLANNER_MODE=production. Use migrate, load_catalogue and load_register."
            )
        if not no_serve:
            require_free(port)
        start = time.monotonic()
        try:
            demo = prepare(fixtures)
        except LoadError as error:
            for problem in error.problems:
                self.stderr.write(str(problem))
            raise CommandError(str(error)) from error
        self.stdout.write("\n".join(_summary(demo, time.monotonic() - start)))
        if not no_serve:
            serve(port, ready=lambda: self._invite(port, demo.password))
            self.stdout.write("Ended.")

    def _invite(self, port: int, password: str) -> None:
        names = ", ".join(PEOPLE.values())
        self.stdout.write(f"\nOpen      http://{HOST}:{port}/  (Ctrl-C ends it)")
        self.stdout.write(f"Sign in   as one of {names}; the password of each is {password}")


def _summary(demo: Demo, seconds: float) -> Iterator[str]:
    run, coverage = demo.run, demo.run.summary["coverage"]
    states = Counter(demo.assessment.findings.values_list("state", flat=True))
    sites = demo.assessment.findings.values("facility").distinct().count()
    tests = demo.assessment.findings.values("test").distinct().count()
    before, after = coverage["before"], coverage["after"]
    cost = sum(line.cost for line in run.lines.all())
    currency = demo.district.currency
    counts = run.summary["actions"]
    actions = ", ".join(f"{count} × {kind}" for kind, count in counts.items())
    today = ", ".join(f"{states[state]} {state.label.lower()}" for state in State)
    yield f"{demo.district.name}: {sites} sites, {tests} tests"
    yield f"Today     {before['tests_met_share']:.1%} of the tests that people need are done"
    yield f"          {today}"
    yield f"Plan      {run.plan.title}"
    yield f"          {actions}; {cost:,.0f} {currency}"
    gap = gap_at_most(run.gap)
    yield f"With it   {after['tests_met_share']:.1%}; proven within {gap:.2%} of the best"
    yield f"Ready     after {seconds:.1f} s"
