"""``manage.py frontier``: what each budget achieves, and where more money brings less."""

import argparse
import csv
import io
import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from apps.coverage.management.document_command import DocumentCommand, output_path
from apps.plans.management.commands.plan import gap, seconds
from apps.plans.management.watching import interruptible, told_by
from planner.engine.allocation import Frontier, frontier
from planner.engine.case import Case

COLUMNS = ("budget", "value", "bound", "gap", "more_per_1000_least", "more_per_1000_most")


class Command(DocumentCommand):
    help = (
        "Say what each budget achieves: for capital from nothing to all that is of use, a "
        "plan's worth,\nwhat no plan can exceed, and how much more the next 1 000 bring, at "
        "least and at most.\n\nOnly capital varies. Earmarks, running money and trainer days "
        "stay as the case has them, the\nfloors of areas are left aside. Returns diminish "
        "from the budget on at which more money begins\nto bring less than it does on average "
        "over the whole range."
    )
    teaching = (
        "examples:\n"
        "  manage.py frontier fixtures/cases/three-sites.json\n"
        "  manage.py frontier case.json --budgets 30 --format csv --out frontier.csv\n\n"
        "exit codes:\n"
        "  0    done\n"
        "  1    no answer, for example because the time was too short\n"
        "  2    the case or the command line has mistakes; each is a line on stderr\n"
        "  130  stopped from the keyboard; nothing is written"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("case", type=Path, metavar="CASE.json", help="the planning case")
        parser.add_argument(
            "--budgets", type=budgets, default=15, help="about how many budgets to ask (15)"
        )
        parser.add_argument(
            "--gap",
            type=gap,
            default=0.001,
            help="how close to the best each plan should be proven, as a share (0.001)",
        )
        parser.add_argument(
            "--seconds",
            type=seconds,
            default=300.0,
            help="stop after this time with the budgets asked so far (300)",
        )
        parser.add_argument(
            "--format", choices=("table", "csv", "json"), default="table", help="default: table"
        )
        parser.add_argument("--out", type=output_path, help="write to this file, not to stdout")

    def handle(
        self,
        *,
        case: Path,
        budgets: int,
        gap: float,
        seconds: float,
        format: str,
        out: Path | None,
        **options: Any,
    ) -> None:
        question = Case.read(case)
        wanted = options["verbosity"] > 1 or (options["verbosity"] == 1 and self.stderr.isatty())
        with interruptible() as interrupted:
            found = frontier(
                question,
                points=budgets,
                gap=gap,
                seconds=seconds,
                progress=told_by(self.stderr.write) if wanted else None,
                cancelled=interrupted,
            )
        written: dict[str, Callable[[Frontier, str], str]] = {
            "table": as_table,
            "csv": as_csv,
            "json": as_json,
        }
        self.deliver(written[format](found, question.currency), out)


def as_table(found: Frontier, currency: str) -> str:
    """Lines for a terminal."""
    lines = [
        f"{'budget':>14} {'plan':>14} {'no plan above':>14} {'gap':>9}  each further 1 000 brings",
    ]
    for budget, value, bound, share, least, most in rows(found):
        more = "" if least is None else f"{least:,.1f} to {most:,.1f}"
        lines.append(f"{budget:14,.0f} {value:14,.1f} {bound:14,.1f} {share:9.3%}  {more}")
    lines.append(f"today {found.today:,.1f}; plans in weighted correct tests a year")
    lines.append(f"more than {found.useful:,.0f} {currency} is of no further use")
    if found.diminishing is not None:
        lines.append(f"returns diminish from {found.diminishing:,.0f} {currency} on")
    return "\n".join(lines)


def as_csv(found: Frontier, currency: str) -> str:
    """One row for each budget; the last has no step after it."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(rows(found))
    return file.getvalue()


def as_json(found: Frontier, currency: str) -> str:
    """Everything, with the currency of the case."""
    return json.dumps({"currency": currency, **asdict(found)}, indent=1)


def rows(
    found: Frontier,
) -> list[tuple[float, float, float, float, float | None, float | None]]:
    """Of each point the ``COLUMNS``."""
    more: list[tuple[float | None, float | None]] = [
        (step.least_per_1000, step.most_per_1000) for step in found.steps
    ]
    return [
        (point.budget, point.value, point.bound, point.gap, *step)
        for point, step in zip(found.points, [*more, (None, None)], strict=True)
    ]


def budgets(text: str) -> int:
    """How many budgets to ask, at least 2."""
    if not text.isdecimal() or int(text) < 2:
        raise argparse.ArgumentTypeError(f"expected a whole number of 2 or more, found {text}")
    return int(text)
