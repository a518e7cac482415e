"""The one shape in which the API says that something is wrong.

Every answer with a status of 400 or more is
``{"error": {"code", "message", "remedy", "fields"}}``: a stable code for programs, what is
wrong, what to do about it, and, where single fields are to blame, a list of texts for each.
"""

import logging
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.core.exceptions import ValidationError as ModelValidationError
from django.core.signals import got_request_exception
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.serializers import as_serializer_error
from rest_framework.views import exception_handler

from apps.api.problems import REMEDIES, Problem, places
from planner.engine.errors import EngineError, InputError

log = logging.getLogger(__name__)


class Refused(exceptions.APIException):
    """A refusal with a remedy of its own, for what Django REST framework has no class for."""

    def __init__(self, problem: str, *, remedy: str, code: str, status_code: int) -> None:
        super().__init__(problem, code)
        self.remedy = remedy
        self.status_code = status_code


def explained(error: Exception, context: dict[str, Any]) -> Response:
    """The answer to any exception that a view lets through (Django REST framework's hook)."""
    answer = exception_handler(error, context)
    problem = problem_of(error)
    if answer is None:
        answer = Response(status=problem.status)
    if problem.status >= status.HTTP_500_INTERNAL_SERVER_ERROR:
        request = context["request"]
        log.error("%s %s failed", request.method, request.path, exc_info=error)
        # Tells Django's own observers (the test client, error reporters) what happened.
        got_request_exception.send(sender=None, request=request)
    answer.data = problem.as_json()
    return answer


def problem_of(error: Exception) -> Problem:
    """What to tell the person about ``error``; the details of a fault of ours stay in the log."""
    match error:
        case exceptions.ValidationError():
            return _invalid(error.detail)
        case ModelValidationError():
            return _invalid(as_serializer_error(error))
        case Http404():
            return _problem(status.HTTP_404_NOT_FOUND, "not_found", "There is nothing here.")
        case PermissionDenied():
            text = str(error) or "You may not do this."
            return _problem(status.HTTP_403_FORBIDDEN, "permission_denied", text)
        case exceptions.APIException():
            return _refusal(error)
        case EngineError():
            return _engine(error)
        case RequestDataTooBig():
            text = "The request is larger than this service reads."
            return _problem(status.HTTP_413_REQUEST_ENTITY_TOO_LARGE, "too_large", text)
        case SuspiciousOperation():
            text = "The request is not well formed."
            return _problem(status.HTTP_400_BAD_REQUEST, "malformed", text)
    text = "Something went wrong on our side."
    return _problem(status.HTTP_500_INTERNAL_SERVER_ERROR, "server_error", text)


def _problem(status_code: int, code: str, message: str, **more: Any) -> Problem:
    remedy = more.pop("remedy", None) or REMEDIES[code]
    return Problem(status=status_code, code=code, message=message, remedy=remedy, **more)


def _refusal(error: exceptions.APIException) -> Problem:
    code = str(error.get_codes())
    message = str(error.detail)
    remedy = getattr(error, "remedy", None)
    if isinstance(error, exceptions.ParseError):
        code = "malformed"
    elif message.startswith("CSRF Failed"):
        code = "csrf_failed"
    elif isinstance(error, exceptions.Throttled):
        message = "There were too many requests of this kind."
        remedy = f"Wait {error.wait or 1} s, as the Retry-After header says, then try again."
    elif isinstance(error, exceptions.MethodNotAllowed):
        message = f"{message} It is not one of this address."
    fields = getattr(error, "fields", {})
    return _problem(error.status_code, code, message, remedy=remedy, fields=fields)


def _engine(error: EngineError) -> Problem:
    fields = {"case": list(error.problems)} if isinstance(error, InputError) else {}
    return _problem(
        status.HTTP_422_UNPROCESSABLE_ENTITY,
        "engine",
        error.problem,
        remedy=error.remedy,
        fields=fields,
    )


def _invalid(detail: Any) -> Problem:
    fields = places(detail)
    if len(fields) == 1:
        [(place, texts)] = fields.items()
        message = f"{place}: {texts[0]}"
    else:
        message = f"{len(fields)} fields are not acceptable: {', '.join(fields)}."
    return _problem(status.HTTP_400_BAD_REQUEST, "invalid", message, fields=fields)
