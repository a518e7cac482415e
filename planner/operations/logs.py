"""Log lines as JSON, one object a line, without names, addresses or what people typed."""

import json
import logging
from datetime import UTC, datetime
from typing import Any

from planner.operations.requests import request_id

# What a log call may add with ``extra=`` and every line may show.
SHOWN = ("run", "plan", "upload", "status_code", "seconds")


class JsonLines(logging.Formatter):
    """``{"at", "level", "logger", "message", "request_id", ...}``; errors with their trace."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, tz=UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        if name := request_id.get():
            line["request_id"] = name
        line |= {key: getattr(record, key) for key in SHOWN if hasattr(record, key)}
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False, default=str)


def logging_settings(kind: str) -> dict[str, Any]:
    """Django's ``LOGGING``: everything to standard error, as ``json`` or as ``text``."""
    text = "{asctime} {levelname} {name}: {message}"
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "json": {"()": "planner.operations.logs.JsonLines"},
            "text": {"format": text, "style": "{"},
        },
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": kind}},
        "root": {"handlers": ["stderr"], "level": "WARNING"},
        "loggers": {
            "django": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
            # Every request has its metrics; a line for each would fill the disk.
            "django.server": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
            "apps": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
        },
    }
