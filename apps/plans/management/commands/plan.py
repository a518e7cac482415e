"""``manage.py plan``: the best use of the money of a planning case, with a proven gap."""

import argparse
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from apps.coverage.management.document_command import DocumentCommand, output_path
from apps.plans.management.summary import summary
from apps.plans.management.watching import interruptible, told_by
from planner.engine.allocation import Progress, plan
from planner.engine.case import Case


class Command(DocumentCommand):
    help = (
        "Work out what to buy, repair, train and provide, and which tests to do where, so "
        "that the\nmoney of a planning case does the most; and prove how far from the best "
        "the answer can be.\n\nThe result goes to stdout and a summary to stderr; with --out "
        "the result goes to the file and\nthe summary to stdout. At a terminal, "
        "and with -v 2 anywhere, progress\nis told on stderr. File formats: "
        "planner/docs/case-format.md."
    )
    teaching = (
        "examples:\n"
        "  manage.py plan fixtures/cases/three-sites.json\n"
        "  manage.py plan case.json --gap 0.01 --seconds 60 --out result.json\n"
        "  manage.py verify case.json result.json\n\n"
        "exit codes:\n"
        "  0    answered: with a plan, or with the reasons why no plan keeps the limits\n"
        "  1    no answer, for example because the time was too short\n"
        "  2    the case or the command line has mistakes; each is a line on stderr\n"
        "  130  stopped from the keyboard; nothing is written"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("case", type=Path, metavar="CASE.json", help="the planning case")
        parser.add_argument(
            "--gap",
            type=gap,
            default=0.001,
            help="stop when the plan is proven to be within this share of the best (0.001)",
        )
        parser.add_argument(
            "--seconds",
            type=seconds,
            default=300.0,
            help="stop after this time with the best plan found so far (300)",
        )
        parser.add_argument(
            "--out", type=output_path, metavar="RESULT.json", help="write the result to this file"
        )

    def handle(
        self, *, case: Path, gap: float, seconds: float, out: Path | None, **options: Any
    ) -> None:
        question = Case.read(case)
        with interruptible() as interrupted:
            result = plan(
                question,
                gap=gap,
                seconds=seconds,
                progress=self.teller(options["verbosity"]),
                cancelled=interrupted,
            )
        self.deliver(json.dumps(result.to_json(), indent=1, ensure_ascii=False), out)
        (self.stdout if out else self.stderr).write(summary(question, result))

    def teller(self, verbosity: int) -> Callable[[Progress], None] | None:
        """Who hears of progress: a person at a terminal, or whoever asks for it."""
        wanted = verbosity > 1 or (verbosity == 1 and self.stderr.isatty())
        return told_by(self.stderr.write) if wanted else None


def gap(text: str) -> float:
    """A share of the objective, 0 or more."""
    value = _finite(text)
    if value < 0:
        raise argparse.ArgumentTypeError(f"expected a share of 0 or more, found {text}")
    return value


def seconds(text: str) -> float:
    """A length of time, more than 0."""
    value = _finite(text)
    if value <= 0:
        raise argparse.ArgumentTypeError(f"expected more than 0 seconds, found {text}")
    return value


def _finite(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"expected a number, found {text}")
    return value
