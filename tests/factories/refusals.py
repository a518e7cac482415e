"""What the reader says of a document that it should refuse."""

import json

import pytest

from planner.engine.case import Case
from planner.engine.errors import InputError


def refusal(source) -> InputError:
    """The refusal of ``source``: a plain document, JSON text, bytes or a path."""
    text = json.dumps(source) if isinstance(source, dict | list | int | None) else source
    with pytest.raises(InputError) as refused:
        Case.read(text)
    return refused.value


def problems(source) -> list[str]:
    return list(refusal(source).problems)
