"""``manage.py coverage``: what each site can do today and what stands in the way."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from apps.coverage.management.document_command import DocumentCommand, output_path
from planner.engine.case import Case
from planner.engine.coverage import assess


class Command(DocumentCommand):
    help = (
        "Say for every site and test of a planning case whether the site can run it today, "
        "by which\nmethod, where the specimens go otherwise, what stands in the way, what "
        "would be the cheapest\nway to change that, and what to measure where a "
        "specification is not known.\n\nOne row for each site and test, in the order of the "
        "case. The file format of a case is\nexplained in planner/docs/case-format.md."
    )
    teaching = (
        "examples:\n"
        "  manage.py coverage fixtures/cases/three-sites.json\n"
        "  manage.py coverage case.json --format json --out coverage.json\n\n"
        "exit codes:\n"
        "  0  done\n"
        "  2  the case or the command line has mistakes; each is a line on stderr"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("case", type=Path, metavar="CASE.json", help="the planning case")
        parser.add_argument(
            "--format", choices=("csv", "json"), default="csv", help="csv unless you say json"
        )
        parser.add_argument("--out", type=output_path, help="write to this file, not to stdout")

    def handle(self, *, case: Path, format: str, out: Path | None, **options: Any) -> None:
        table = assess(Case.read(case)).table()
        if format == "csv":
            text = table.to_csv(index=False, lineterminator="\n")
        else:
            text = table.to_json(orient="records", indent=1, force_ascii=False, double_precision=15)
        self.deliver(text, out)
