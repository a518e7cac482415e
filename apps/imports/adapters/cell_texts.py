"""What people type into cells, as the text that the fields of the register read."""

import datetime as dt
import re
from typing import Any

from django.db.models import DateField, DecimalField, Field, FloatField, ForeignKey, IntegerField

MONTHS = {
    name: number
    for number, name in enumerate(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1
    )
}
DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")
NAMED = re.compile(r"(\d{1,2})[ -]([A-Za-z]{3})[a-z]*[ ,-]+(\d{4})")
SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
# Groups of three, or as in lakh and crore: 12,34,567; a space may be one that does not break.
GROUPED = re.compile(
    r"[+-]?\d{1,3}(,\d{2,3})*,\d{3}(\.\d+)?|[+-]?\d{1,3}([ \xa0\u202f]\d{3})+(\.\d+)?"
)
DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d{1,2}|[+-]?\d+,\d{4,}")
CODED = re.compile(r".*\(([a-z0-9][a-z0-9_-]*)\)")


def text_of(value: Any) -> str:
    """A cell as a spreadsheet program keeps it, as text: dates as 2026-01-31, 3.0 as 3."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 10**15 else repr(value)
    if isinstance(value, dt.datetime):
        midnight = value.time() == dt.time()
        return value.date().isoformat() if midnight else value.isoformat(" ")
    if isinstance(value, dt.date):
        return value.isoformat()
    return str(value)


class ColumnTexts:
    """Texts of one column: labels of choices as their values, names with codes as codes.

    What can be read in two ways is left as it is, to be refused: 01/02/2026 is two days.
    """

    def __init__(self, field: Field) -> None:
        self._field = field
        self._labels = {
            str(label).casefold(): str(value) for value, label in field.flatchoices if value != ""
        }

    def __call__(self, text: str) -> str:
        if not text:
            return text
        field = self._field
        if self._labels:
            return self._labels.get(text.casefold(), text)
        if isinstance(field, ForeignKey):
            coded = CODED.fullmatch(text)
            return coded[1] if coded else text
        if isinstance(field, DateField):
            return _date(text)
        if isinstance(field, IntegerField | FloatField | DecimalField):
            return _number(text, whole=isinstance(field, IntegerField))
        return text


def _date(text: str) -> str:
    if found := DOTTED.fullmatch(text):
        day, month, year = map(int, found.groups())
    elif (found := NAMED.fullmatch(text)) and found[2].lower() in MONTHS:
        day, month, year = int(found[1]), MONTHS[found[2].lower()], int(found[3])
    elif (found := SLASHED.fullmatch(text)) and (int(found[1]) > 12 or found[1] == found[2]):
        # Only the day can be above 12.
        day, month, year = map(int, found.groups())
    else:
        return text
    try:
        return dt.date(year, month, day).isoformat()
    except ValueError:
        return text


def _number(text: str, *, whole: bool) -> str:
    if GROUPED.fullmatch(text):
        # 1,234 of something that has decimals may be a thousand or one and a bit.
        if not whole and re.fullmatch(r"[+-]?\d{1,3},\d{3}", text):
            return text
        return re.sub(r"[, \xa0\u202f]", "", text)
    if not whole and DECIMAL_COMMA.fullmatch(text):
        return text.replace(",", ".")
    return text
