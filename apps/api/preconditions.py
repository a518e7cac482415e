"""Changing what one has read, and only that: ETag, If-Match (RFC 9110), 428 (RFC 6585).

A change names in ``If-Match`` the representation that it was made from. If that is not the
present one any more, nothing is written, and the answer holds both values of each field.
"""

import hashlib
from collections.abc import Callable, Mapping
from typing import Any

import rfc8785
from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.errors import Refused
from apps.api.fields import Incoming
from apps.facilities.choices import Basis, Observer
from apps.facilities.selectors import was_kept
from apps.facilities.services import ConflictError, Said

IF_MATCH = OpenApiParameter(
    "If-Match",
    str,
    OpenApiParameter.HEADER,
    required=True,
    description="The ETag of the representation that the change was made from.",
)
ENTRY_KEY = OpenApiParameter(
    "Idempotency-Key",
    str,
    OpenApiParameter.HEADER,
    description="A text of at most 80 characters, new for each entry; sent again, whenever that"
    " is, nothing is done a second time.",
)


class SaidIn(Incoming):
    """How a change became known; the fields that are to be changed stand beside it."""

    observed_on = serializers.DateField(help_text="day it was seen")
    basis = serializers.ChoiceField(Basis.choices, default=Basis.REPORTED)
    observer = serializers.ChoiceField(Observer.choices, default="", allow_blank=True)
    why = serializers.CharField(default="", allow_blank=True, max_length=300)


SAID = frozenset(SaidIn().fields)


class ChangedMeanwhile(Refused):
    """412 with both values of each field."""

    def __init__(self, fields: dict[str, list[str]]) -> None:
        super().__init__(
            "Somebody changed it since you read it; nothing was written.",
            remedy="Read it again, compare both values, and send what should stay with its ETag.",
            code="changed_meanwhile",
            status_code=status.HTTP_412_PRECONDITION_FAILED,
        )
        self.fields = fields


def etag(representation: Mapping[str, Any]) -> str:
    """A strong validator: the digest of the representation as canonical JSON (RFC 8785)."""
    plain = {name: _plain(value) for name, value in representation.items()}
    return f'"{hashlib.sha256(rfc8785.dumps(plain)).hexdigest()}"'


def tagged(representation: Mapping[str, Any], **more: str) -> Response:
    """The representation with its ETag."""
    return Response(representation, headers={"ETag": etag(representation), **more})


def changed(
    request: Request,
    read: Callable[[], Any],
    *,
    out: type[serializers.Serializer],
    form: type[serializers.Serializer],
    change: Callable[..., object],
) -> Response:
    """Change the fields that were sent of the row that ``read`` gives; the answer is the new one.

    ``out`` represents the row, ``form`` checks what was sent, and ``change`` writes it, given
    the row, ``changes``, ``seen`` and ``said``. An entry that was kept before is not kept twice.
    """
    row = read()
    changes, said = _parted(_asked_for(request, form), request)
    if was_kept(request.user, said.entry_key):
        return tagged(out(row).data, **{"Idempotency-Replayed": "true"})
    _require_match(request, out(row).data, changes)
    seen = {name: getattr(row, name) for name in changes}
    try:
        change(row, changes=changes, seen=seen, said=said)
    except ConflictError as conflict:
        raise _both_values(conflict) from conflict
    return tagged(out(read()).data)


def _asked_for(request: Request, form: type[serializers.Serializer]) -> dict[str, Any]:
    """The body of a change: the fields of ``form`` that were sent, checked."""
    body = form(data=request.data, partial=True)
    body.is_valid(raise_exception=True)
    given = dict(body.validated_data)
    if "observed_on" not in given:
        raise serializers.ValidationError({"observed_on": ["Say on which day it was seen."]})
    return given


def _parted(given: dict[str, Any], request: Request) -> tuple[dict[str, Any], Said]:
    """What is to be changed, and how it became known."""
    key = request.headers.get("Idempotency-Key", "")
    if len(key) > 80:
        raise serializers.ValidationError({"Idempotency-Key": ["Expected at most 80 characters."]})
    said = {name: given[name] for name in SAID & set(given)}
    changes = {name: value for name, value in given.items() if name not in SAID}
    return changes, Said(**said, entry_key=key)


def _require_match(
    request: Request, representation: Mapping[str, Any], changes: Mapping[str, Any]
) -> None:
    """428 without ``If-Match``; 412 with both values where it names something older."""
    named = request.headers.get("If-Match", "")
    if not named:
        raise Refused(
            "A change must say which version it was made from.",
            remedy="Read it first, and send its ETag in the header If-Match.",
            code="precondition_required",
            status_code=status.HTTP_428_PRECONDITION_REQUIRED,
        )
    tags = {each.strip() for each in named.split(",")}
    if "*" not in tags and etag(representation) not in tags:
        raise ChangedMeanwhile(
            {name: [_both(representation.get(name), value)] for name, value in changes.items()}
        )


def _both_values(conflict: ConflictError) -> ChangedMeanwhile:
    """The same answer for a change that came between reading and writing."""
    return ChangedMeanwhile(
        {each.field: [_both(each.theirs, each.yours)] for each in conflict.conflicts}
    )


def _both(theirs: Any, yours: Any) -> str:
    return f"It says {_plain(theirs)!r}, you sent {_plain(yours)!r}."


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, str | bool | int | float):
        return value
    return str(value)
