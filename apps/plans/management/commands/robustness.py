"""``manage.py robustness``: how a plan does if things turn out otherwise than assumed."""

import argparse
import csv
import io
import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError, CommandParser

from apps.coverage.management.document_command import DocumentCommand, output_path
from apps.plans.management.watching import interruptible
from planner.engine.allocation.robustness import STATED, Robustness, robustness
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.fanout import Done, team_for

COLUMNS = ("site", "kind", "item", "quantity", "planned", "possible", "share", "standing")
_STEPS_TOLD = 20


class Command(DocumentCommand):
    help = (
        "Hold a plan against many futures: prices, demand, breakdowns, repairs and supplies "
        "drawn at\nrandom. Say what the plan is worth in them, in the worst tenth too, and how "
        "much would have been\ngained by knowing (regret); and which actions nearly every "
        "future's own best plan has, so that\nthey are safe to order now.\n\n"
        "A plan that a future makes too dear is cut, the packages with least worth for their "
        "cost first.\nThe widths of the distributions are planning defaults, listed in the "
        "answer (json) and in\nplanner/docs/method.md. The figures go to stderr, or with --out "
        "to stdout."
    )
    teaching = (
        "examples:\n"
        "  manage.py robustness fixtures/cases/three-sites.json result.json\n"
        "  manage.py robustness case.json result.json --draws 50 --format json --out study.json\n\n"
        "With DASK_SCHEDULER set the draws are worked out by that Dask cluster; else by "
        "processes of\nthis machine. The answers are the same.\n\n"
        "exit codes:\n"
        "  0    done\n"
        "  1    no answer: the result is no plan for the case, or workers were lost\n"
        "  2    a file or the command line has mistakes; each is a line on stderr\n"
        "  130  stopped from the keyboard; nothing is written"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("case", type=Path, metavar="CASE.json", help="the planning case")
        parser.add_argument("result", type=Path, metavar="RESULT.json", help="a plan for it")
        parser.add_argument("--draws", type=positive, default=200, help="how many futures (200)")
        parser.add_argument(
            "--seed", type=natural, default=1, help="the same number draws the same futures (1)"
        )
        parser.add_argument(
            "--processes", type=positive, help="processes of this machine (one for each core)"
        )
        parser.add_argument(
            "--format", choices=("csv", "json"), default="csv", help="default: csv, the actions"
        )
        parser.add_argument("--out", type=output_path, help="write to this file, not to stdout")

    def handle(
        self,
        *,
        case: Path,
        result: Path,
        draws: int,
        seed: int,
        processes: int | None,
        format: str,
        out: Path | None,
        **options: Any,
    ) -> None:
        question, answer = Case.read(case), Result.read(result)
        if wrong := verify(question, answer):
            raise CommandError(
                f"{result} is no plan for {case}: {wrong[0].text} manage.py verify tells all."
            )
        wanted = options["verbosity"] > 1 or (options["verbosity"] == 1 and self.stderr.isatty())
        with interruptible() as interrupted:
            found = robustness(
                question,
                answer,
                draws=draws,
                seed=seed,
                team=team_for(processes, settings.DASK_SCHEDULER),
                progress=told_by(self.stderr.write) if wanted else None,
                cancelled=interrupted,
            )
        self.deliver(as_csv(found) if format == "csv" else as_json(found, question.currency), out)
        (self.stdout if out else self.stderr).write(summary(found))


def as_csv(found: Robustness) -> str:
    """One row for each action of the plan or of a future's own best plan."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    for each in found.actions:
        writer.writerow([getattr(each, column) for column in COLUMNS])
    return file.getvalue()


def as_json(found: Robustness, currency: str) -> str:
    """Everything, with what is known of each assumption."""
    document = asdict(found)
    for candidate in document["candidates"]:
        candidate["actions"] = [action.model_dump(mode="json") for action in candidate["actions"]]
    document["assumptions"] = {
        name: {"value": value, **asdict(STATED[name])}
        for name, value in document["assumptions"].items()
    }
    return json.dumps({"currency": currency, **document}, indent=1, ensure_ascii=False)


def summary(found: Robustness) -> str:
    """What was found, in lines for a terminal."""
    worth, regret = found.worth, found.regret
    planned = [each.standing for each in found.actions if each.planned]
    best = found.candidates[0]
    lines = [
        f"draws      {found.draws} of {found.asked}, seed {found.seed}",
        f"worth      {worth.mean:,.1f} ± {worth.half_width:,.1f} weighted correct tests a year; "
        f"{worth.p10:,.1f} to {worth.p90:,.1f} in eight of ten draws",
        f"worst      {found.worst_tenth:,.1f} on average in the worst tenth",
        f"regret     {regret.mean:.2%} ± {regret.half_width:.2%}, half of the draws below "
        f"{regret.p50:.2%}, nine of ten below {regret.p90:.2%}; {found.regret_at_most:.2%} at most",
        f"overspent  in {found.overspent:.0%} of the draws part of the plan was not paid for",
        f"actions    {planned.count('safe')} of {len(planned)} are safe to order now, "
        f"{planned.count('depends')} depend, {planned.count('rarely')} are rarely right",
        f"candidates the best of {len(found.candidates)} in the worst tenth is {best.source}, "
        f"with {best.worst_tenth:,.1f}; others may be better still",
    ]
    return "\n".join(lines)


def told_by(write: Callable[[str], object]) -> Callable[[Done], None]:
    """Progress as about twenty lines."""
    told = 0

    def tell(progress: Done) -> None:
        nonlocal told
        if progress.done == progress.of or progress.done - told >= progress.of / _STEPS_TOLD:
            told = progress.done
            write(f"{progress.done} of {progress.of} steps")

    return tell


def positive(text: str) -> int:
    """A whole number of 1 or more."""
    return _whole(text, least=1)


def natural(text: str) -> int:
    """A whole number of 0 or more."""
    return _whole(text, least=0)


def _whole(text: str, *, least: int) -> int:
    if not text.isdecimal() or int(text) < least:
        raise argparse.ArgumentTypeError(f"expected a whole number from {least} up, found {text}")
    return int(text)
