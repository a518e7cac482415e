"""Sending a POST twice with one ``Idempotency-Key`` does its work once.

The header is that of the IETF draft "The Idempotency-Key HTTP Header Field"
(draft-ietf-httpapi-idempotency-key-header), from memory: the first answer is given again to
the same key; the key with another body is refused with 422; while the first request is
still at work the second is told so with 409.

Answers are kept for ``KEPT_SECONDS`` in the shared cache, apart for each person and address.
Only success is kept: after an error the same key tries again.
"""

import functools
import hashlib
import json
import re
from collections.abc import Callable
from typing import Any

from django.core.cache import cache
from django.core.files.uploadedfile import UploadedFile
from drf_spectacular.utils import OpenApiParameter
from rest_framework import status
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.errors import Refused

HEADER = "Idempotency-Key"
KEPT_SECONDS = 24 * 60 * 60
# A worker that dies in the middle leaves its mark behind for no longer than this.
AT_WORK_SECONDS = 60

PARAMETER = OpenApiParameter(
    HEADER,
    str,
    OpenApiParameter.HEADER,
    description="A text of your choice (1 to 255 visible ASCII characters), new for each thing"
    " you want done. Sent again within 24 hours it gives the first answer again,"
    " marked with the header Idempotency-Replayed.",
)


def once_per_key(post: Callable[..., Response]) -> Callable[..., Response]:
    """Make a view's ``post`` answer a repeated ``Idempotency-Key`` from the first answer.

    The answer of ``post`` must carry a ``Location``: it says what was made.
    """

    @functools.wraps(post)
    def answer(view: Any, request: Request, **kwargs: Any) -> Response:
        key = request.headers.get(HEADER)
        if key is None:
            return post(view, request, **kwargs)
        slot, body = _slot(request, key), _digest(request.data)
        if not cache.add(slot, {"body": body}, AT_WORK_SECONDS):
            return _again(cache.get(slot), body)
        try:
            first = post(view, request, **kwargs)
        except Exception:
            cache.delete(slot)
            raise
        kept = {"status": first.status_code, "data": first.data, "location": first["Location"]}
        cache.set(slot, {"body": body, "answer": kept}, KEPT_SECONDS)
        return first

    return answer


def _slot(request: Request, key: str) -> str:
    if not re.fullmatch(r"[\x21-\x7e]{1,255}", key):
        raise ValidationError({HEADER: ["Expected 1 to 255 visible ASCII characters."]})
    return f"idempotency-{_digest([request.user.pk, request.path, key])}"


def _digest(value: Any) -> str:
    text = json.dumps(value, sort_keys=True, default=_digest_of_file)
    return hashlib.sha256(text.encode()).hexdigest()


def _digest_of_file(file: UploadedFile) -> str:
    """A file in a form stands for what it holds."""
    digest = hashlib.sha256()
    for part in file.chunks():
        digest.update(part)
    file.seek(0)
    return f"{file.name} {digest.hexdigest()}"


def _again(kept: dict[str, Any] | None, body: str) -> Response:
    if kept is not None and kept["body"] != body:
        raise Refused(
            f"This {HEADER} was used for another request.",
            remedy="Choose a new key for each thing you want done.",
            code="key_reused",
            status_code=status.HTTP_422_UNPROCESSABLE_ENTITY,
        )
    if kept is None or "answer" not in kept:
        raise Refused(
            "The first request with this key is still at work.",
            remedy="Wait a second, then send it again.",
            code="at_work",
            status_code=status.HTTP_409_CONFLICT,
        )
    first = kept["answer"]
    headers = {"Location": first["location"], "Idempotency-Replayed": "true"}
    return Response(first["data"], status=first["status"], headers=headers)
