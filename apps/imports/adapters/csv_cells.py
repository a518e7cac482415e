"""Text in the cells of a CSV file, kept from being taken for a formula and given back.

A spreadsheet program takes text that starts with one of a few signs for a formula, so an
apostrophe is put before it (``audit.exports.csv_text``). To give each text back exactly as it
was, one that already has apostrophes before such a sign gets another.
"""

import re

GUARDED = re.compile(r"'+[=+\-@\t\r]")


def guarded(value: object) -> object:
    """``value`` as ``csv_text`` is to be given it, so that ``unguarded`` gives it back."""
    return f"'{value}" if isinstance(value, str) and GUARDED.match(value) else value


def unguarded(text: str) -> str:
    """The text as it was before it was written."""
    return text[1:] if GUARDED.match(text) else text
