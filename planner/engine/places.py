"""Where something stands in a JSON document, and how a value is shown, on one safe line."""

import json
import math
import re
from collections.abc import Iterable
from typing import Any

Step = str | int
"""A key of an object or an index of a list."""

_PLAIN_KEY = re.compile(r"[\w-]{1,100}")
_SHOWN_LENGTH = 60


def place(steps: Iterable[Step]) -> str:
    """``("sites", 3, "demand", "malaria")`` as ``sites[3].demand.malaria``.

    A key of other characters than letters, digits, ``_`` and ``-``, or a long one, is quoted, as in
    ``sites[3].demand["a.b"]``. No steps at all is "the document".
    """
    text = ""
    for step in steps:
        if isinstance(step, int):
            text += f"[{step}]"
        elif _PLAIN_KEY.fullmatch(step):
            text += f".{step}" if text else step
        else:
            text += f"[{shown(step)}]"
    return text or "the document"


def shown(value: Any) -> str:
    """``value`` as JSON on one line, cut after 60 characters.

    Control characters, line separators and marks that turn the direction of writing come
    out escaped: a document must not be able to forge a line of a report about it.
    """
    if isinstance(value, float) and math.isinf(value):
        return f"{'-' if value < 0 else ''}infinity (numbers end at 1.8e308)"
    text = json.dumps(value, ensure_ascii=False)
    text = "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in text)
    return text if len(text) <= _SHOWN_LENGTH else f"{text[:_SHOWN_LENGTH]}..."
