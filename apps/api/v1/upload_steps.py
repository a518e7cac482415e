"""Uploads that were looked at: applied, undone, given up."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.urls import reverse
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.exceptions import ValidationError as Invalid
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.errors import Refused
from apps.api.idempotency import PARAMETER, once_per_key
from apps.api.lookup import found
from apps.api.v1.upload_shapes import ApplyIn, UploadOut
from apps.api.views import View
from apps.imports.selectors import upload_for
from apps.imports.services import (
    apply_upload,
    cancel_upload,
    choose_from_upload,
    undo_upload,
)


class UploadApply(View):
    deeds = {"POST": "register.change"}

    @extend_schema(
        operation_id="apply_upload",
        tags=["uploads"],
        request=ApplyIn,
        responses={202: UploadOut},
        parameters=[PARAMETER],
    )
    @once_per_key
    def post(self, request: Request, upload_id: int) -> Response:
        """Write what was chosen into the register, whole or not at all.

        Where both the file and somebody else changed a field, the register's value stays
        unless the row is named in ``take``.
        """
        upload = found("upload", upload_for, request.user, upload_id)
        asked = ApplyIn(data=request.data)
        asked.is_valid(raise_exception=True)
        for sheet, choice in asked.validated_data["choice"].items():
            _in_state(lambda sheet=sheet, choice=choice: _choose(upload, request, sheet, choice))
        return accepted(_in_state(lambda: apply_upload(upload=upload, by=request.user)))


class UploadUndo(View):
    deeds = {"POST": "register.change"}

    @extend_schema(
        operation_id="undo_upload", tags=["uploads"], request=None, responses={202: UploadOut}
    )
    def post(self, request: Request, upload_id: int) -> Response:
        """Undo all that an upload changed, as one step; refused if any of it changed since."""
        upload = found("upload", upload_for, request.user, upload_id)
        return accepted(_in_state(lambda: undo_upload(upload=upload, by=request.user)))


class UploadCancel(View):
    deeds = {"POST": "register.change"}

    @extend_schema(
        operation_id="cancel_upload", tags=["uploads"], request=None, responses=UploadOut
    )
    def post(self, request: Request, upload_id: int) -> Response:
        """Give an upload up: the file and what it would change are dropped."""
        upload = found("upload", upload_for, request.user, upload_id)
        given_up = _in_state(lambda: cancel_upload(upload=upload, by=request.user))
        return Response(UploadOut(given_up).data)


def accepted(upload: Any) -> Response:
    return Response(
        UploadOut(upload).data,
        status=status.HTTP_202_ACCEPTED,
        headers={"Location": reverse("api:upload-detail", args=[upload.pk])},
    )


def _choose(upload: Any, request: Request, sheet: str, choice: Mapping[str, Any]) -> None:
    if sheet not in upload.counts:
        raise Invalid({"choice": [f"The file has no sheet {sheet}."]})
    without, take = set(choice["without"]), set(choice["take"])
    choose_from_upload(
        upload=upload,
        by=request.user,
        sheet=sheet,
        leave=choice["leave"],
        shown=without | take,
        wanted=take - without,
        taken=take,
    )


def _in_state(act: Any) -> Any:
    """``act()``; 409 where the upload does not stand so that it could be done."""
    try:
        return act()
    except ValidationError as refusal:
        if refusal.error_list[0].code != "state":
            raise
        raise Refused(
            refusal.messages[0].partition(". ")[0] + ".",
            remedy="Get the upload to see how it stands.",
            code="state",
            status_code=status.HTTP_409_CONFLICT,
        ) from refusal
