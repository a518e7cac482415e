"""``manage.py verify``: is a result what its case allows, and worth what it says?"""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from apps.coverage.management.document_command import DocumentCommand
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result


class Command(DocumentCommand):
    help = (
        "Recompute a result from its planning case, without the solver and sharing nothing "
        "with it:\nevery limit, every machine hour, every cost, and the objective.\n\n"
        "It proves that the plan can be carried out and is worth what it says. That no better "
        "plan exists\nis the solver's bound, which cannot be recomputed without a solver."
    )
    teaching = (
        "example:\n"
        "  manage.py plan case.json --out result.json\n"
        "  manage.py verify case.json result.json\n\n"
        "exit codes:\n"
        "  0  every constraint holds and the objective is as stated\n"
        "  1  something does not hold; each is a line on stdout\n"
        "  2  a file or the command line has mistakes; each is a line on stderr"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("case", type=Path, metavar="CASE.json", help="the planning case")
        parser.add_argument("result", type=Path, metavar="RESULT.json", help="its result")

    def handle(self, *, case: Path, result: Path, **options: Any) -> None:
        violations = verify(Case.read(case), Result.read(result))
        for violation in violations:
            self.stdout.write(f"{violation.rule}: {violation.text}")
        if violations:
            number = len(violations)
            fail = "fails" if number == 1 else "fail"
            raise CommandError(f"The result does not hold: {number} of its claims {fail}.")
        self.stdout.write("Every constraint holds and the objective is as stated.")
