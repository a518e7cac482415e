"""JSON as RFC 8259 has it, read so that nothing in it can be taken for something else."""

import json
import math
from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser, get_encoding


class StrictJSON(JSONParser):
    """Refuses ``NaN``, infinite numbers (``1e999``), a key given twice, and endless nesting."""

    def parse(self, stream, media_type=None, parser_context=None) -> Any:
        encoding = get_encoding(parser_context or {})
        try:
            return json.loads(
                stream.read().decode(encoding),
                parse_constant=_refuse_constant,
                parse_float=_finite,
                object_pairs_hook=_unique,
            )
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply to be read.") from error
        except ValueError as error:
            raise ParseError(f"The body is not JSON that can be read: {error}.") from error


def _refuse_constant(text: str) -> None:
    raise ValueError(f"{text} is not a number in JSON")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{text} is too large a number")
    return number


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"the key {twice!r} stands twice in one object")
    return values
