"""The bodies of requests."""

from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser, get_encoding

from planner.engine.strict_json import strict_json


class StrictJSON(JSONParser):
    """Refuses ``NaN``, infinite numbers (``1e999``), a key given twice, and endless nesting."""

    def parse(self, stream, media_type=None, parser_context=None) -> Any:
        encoding = get_encoding(parser_context or {})
        try:
            return strict_json(stream.read().decode(encoding))
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply to be read.") from error
        except ValueError as error:
            raise ParseError(f"The body is not JSON that can be read: {error}.") from error
