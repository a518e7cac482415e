from pathlib import Path

from django.core.exceptions import ValidationError

from apps.accounts.models import User
from apps.imports.adapters.files import Problem
from apps.imports.adapters.verifications import FILE, read_verifications
from apps.imports.services.writing import Change
from apps.inventory.services import record_verification
from planner.engine.errors import InputError


def write_verifications(folder: Path, by: User | None, problems: list[Problem]) -> Change:
    """Record what the folder says was measured; what cannot be is added to ``problems``.

    Figures and outcome are worked out here from the readings, never read from a file.
    """
    change = Change()
    for read in read_verifications(folder / FILE):
        if isinstance(read, Problem):
            problems.append(read)
            continue
        try:
            record_verification(
                item=read.item, readings=read.readings, limits=read.limits, by=by, **read.facts
            )
        except (InputError, ValidationError) as refused:
            texts = refused.problems if isinstance(refused, InputError) else refused.messages
            problems += [Problem(FILE, read.line, text) for text in texts]
        else:
            change.created += 1
    return change
