"""The case that a run was worked out from, and its result, as the very bytes that were kept."""

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response, patch_cache_control
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import status
from rest_framework.request import Request

from apps.api.errors import Refused
from apps.api.lookup import found
from apps.api.views import View
from apps.plans.exports import case_json, result_json
from apps.plans.selectors import run_for

DOCUMENT = {
    "responses": {
        200: OpenApiResponse(
            OpenApiTypes.OBJECT,
            description="Canonical JSON (RFC 8785). The ETag is its SHA-256 digest.",
        ),
        304: OpenApiResponse(description="You have it already."),
    },
    "parameters": [
        OpenApiParameter(
            "If-None-Match",
            str,
            OpenApiParameter.HEADER,
            description="The ETag of the copy you have; 304 without a body if it is the same.",
        ),
        OpenApiParameter(
            "ETag",
            str,
            OpenApiParameter.HEADER,
            response=[200, 304],
            description="SHA-256 digest of the document, in double quotes.",
        ),
    ],
    "tags": ["runs"],
}


class RunResult(View):
    deeds = {"GET": "plan.view"}

    @extend_schema(operation_id="get_result", **DOCUMENT)
    def get(self, request: Request, run_id: int) -> HttpResponseBase:
        """The result document of a finished run."""
        run = found("run", run_for, request.user, run_id)
        return document(request, "result", run.result_id, lambda: result_json(run))


class RunCase(View):
    deeds = {"GET": "plan.view"}

    @extend_schema(operation_id="get_case", **DOCUMENT)
    def get(self, request: Request, run_id: int) -> HttpResponseBase:
        """The planning case that the run was worked out from."""
        run = found("run", run_for, request.user, run_id)
        return document(request, "case", run.case_id, lambda: case_json(run))


def document(
    request: Request, kind: str, sha256: str | None, read: Callable[[], bytes]
) -> HttpResponseBase:
    """The document, or 304 without reading it where the client has it already.

    The digest names the bytes, so it is a strong validator (RFC 9110, 8.8.3).
    """
    if sha256 is None:
        raise Refused(
            f"The run has no {kind} yet.",
            remedy="Look at the run; when its state is 'done', the documents are there.",
            code="not_ready",
            status_code=status.HTTP_404_NOT_FOUND,
        )
    etag = f'"{sha256}"'
    answer: Any = get_conditional_response(request._request, etag=etag)
    if answer is None:
        answer = HttpResponse(read(), content_type="application/json")
    answer["ETag"] = etag
    patch_cache_control(answer, private=True, no_cache=True)
    return answer
