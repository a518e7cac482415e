"""Every request has an id, which its answer, its log lines and its tasks carry."""

import re
import secrets
import time
from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest, HttpResponse

from planner.operations.metrics import note_request

HEADER = "X-Request-ID"
_WELL_FORMED = re.compile(r"[A-Za-z0-9._-]{8,64}")

request_id: ContextVar[str] = ContextVar("request_id", default="")
"""The id of the request that is being answered; blank outside of one."""


class RequestIds:
    """Give each request an id, or keep the well-formed one that a proxy gave it, and time it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        given = request.headers.get(HEADER, "")
        name = given if _WELL_FORMED.fullmatch(given) else secrets.token_hex(8)
        token = request_id.set(name)
        start = time.perf_counter()
        try:
            response = self._get_response(request)
        finally:
            request_id.reset(token)
        response.headers[HEADER] = name
        note_request(request, response, time.perf_counter() - start)
        return response
