"""What the body of an error says, and where in the request something is wrong."""

from dataclasses import dataclass, field
from typing import Any

WHOLE_REQUEST = "request"

REMEDIES = {
    "invalid": "Correct the fields named and send the request again.",
    "malformed": "Send one JSON document (RFC 8259) in UTF-8, with finite numbers.",
    "not_authenticated": "Send the header 'Authorization: Token …'; POST …/token/ gives a token.",
    "authentication_failed": "Check the name and password, or get a new token from …/token/.",
    "csrf_failed": "Send the value of the csrftoken cookie in the header X-CSRFToken.",
    "permission_denied": "Ask an administrator for a role that may do this.",
    "not_found": "Check the address, or ask for access to the area that it belongs to.",
    "method_not_allowed": "Use one of the methods that the Allow header names.",
    "not_acceptable": "Ask for application/json in the Accept header.",
    "too_large": "Send a smaller request.",
    "unsupported_media_type": "Send the header 'Content-Type: application/json'.",
    "engine": "Correct the register or the plan, then try again.",
    "server_error": "Try again. If it stays so, tell an administrator the address and the time.",
}


@dataclass(frozen=True, kw_only=True)
class Problem:
    """What the body of an error says; ``fields`` maps a place in the request to texts."""

    status: int
    code: str
    message: str
    remedy: str
    fields: dict[str, list[str]] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        said = {name: getattr(self, name) for name in ("code", "message", "remedy", "fields")}
        return {"error": said}


def places(detail: Any, at: str = "") -> dict[str, list[str]]:
    """Nested complaints as one flat mapping: ``{"earmarks.malaria": ["A valid …"]}``."""
    if isinstance(detail, dict):
        parts = [(_below(at, str(key)), inner) for key, inner in detail.items()]
    elif any(isinstance(inner, dict | list) for inner in detail):
        parts = [(f"{at}[{number}]", inner) for number, inner in enumerate(detail)]
    else:
        return {at or WHOLE_REQUEST: [str(text) for text in detail]}
    return {
        place: texts for at, inner in parts if inner for place, texts in places(inner, at).items()
    }


def _below(at: str, key: str) -> str:
    if key in ("non_field_errors", "__all__"):
        return at or WHOLE_REQUEST
    return f"{at}.{key}" if at else key
