"""JSON files of any kind."""

import json
from typing import Any

from apps.imports.adapters.sources import RefusedFileError
from planner.engine.strict_json import strict_json

SAVE = "Save it again as JSON in UTF-8, and upload that."


def json_object(name: str, content: bytes) -> dict[str, Any]:
    """The object that ``content`` holds.

    Raises ``RefusedFileError`` for other encodings than UTF-8, for what is no JSON object, for
    numbers that are none, for a key that stands twice, and for endless nesting.
    """
    try:
        document = strict_json(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise RefusedFileError(f"{name} is not in UTF-8.", remedy=SAVE) from error
    except RecursionError as error:
        raise RefusedFileError(f"{name} is nested too deeply to be read.", remedy=SAVE) from error
    except ValueError as error:
        raise RefusedFileError(f"{name} is not JSON ({error}).", remedy=SAVE) from error
    if not isinstance(document, dict):
        raise RefusedFileError(f"{name} holds no JSON object.", remedy=SAVE)
    return document


def text_of_json(value: Any) -> str:
    """A value as the text of a cell: nothing for null, whole numbers without a point."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer() and abs(value) < 10**15:
        return str(int(value))
    if isinstance(value, str):
        return value.strip()
    return json.dumps(value, ensure_ascii=False)
