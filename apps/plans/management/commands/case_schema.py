"""``manage.py case_schema``: the JSON Schemas of what goes in and comes out."""

import json
from typing import Any

from apps.coverage.management.document_command import DocumentCommand
from planner.engine.case import json_schemas


class Command(DocumentCommand):
    help = (
        "Print the JSON Schemas (2020-12) of the planning case and of the result, as one "
        'object with\nthe keys "case" and "result" (version 2), "case-1" and "result-1" '
        "(version 1).\n\nThe schemas state the structure. "
        "Unique codes, and codes that must exist elsewhere in the file,\nare beyond a schema; "
        "the other commands check them too."
    )
    teaching = "example:\n  manage.py case_schema > schemas.json\n\nexit codes:\n  0  done"

    def handle(self, **options: Any) -> None:
        self.stdout.write(json.dumps(json_schemas(), indent=1, ensure_ascii=False))
