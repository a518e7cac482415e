"""Uploads: files that are looked at before anything of them gets into the register."""

import json
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import NotFound
from rest_framework.exceptions import ValidationError as Invalid
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.filters import AreaFilter, Ordering
from apps.api.idempotency import PARAMETER, once_per_key
from apps.api.lookup import found, named
from apps.api.v1.upload_shapes import ANY, MappingIn, ProposalOut, UploadIn, UploadOut, told
from apps.api.v1.upload_steps import accepted
from apps.api.views import PagedView, View
from apps.facilities.selectors import areas_for
from apps.imports.adapters.sources import RefusedFileError
from apps.imports.choices import UploadKind, UploadState, Verdict
from apps.imports.selectors import proposal_rows, upload_for, uploads_for
from apps.imports.services import (
    keep_unmapped,
    map_file,
    mapping_question,
    mark_uploads_interrupted,
    receive_upload,
    recognise,
)


class UploadFilters(FilterSet):
    area = AreaFilter("area__path")
    state = ChoiceFilter(choices=UploadState.choices, help_text="How the upload stands.")
    ordering = Ordering(at="at", file_name="file_name")


class UploadList(PagedView):
    deeds = {"GET": "register.change", "POST": "register.change"}
    parser_classes = [MultiPartParser]
    serializer_class = UploadOut
    filterset_class = UploadFilters

    @extend_schema(operation_id="list_uploads", tags=["uploads"], responses=UploadOut(many=True))
    def get(self, request: Request) -> Response:
        """Uploads for the areas you answer for, newest first."""
        mark_uploads_interrupted()
        return self.paged(uploads_for(request.user))

    @extend_schema(
        operation_id="send_upload",
        tags=["uploads"],
        request=UploadIn,
        responses={202: UploadOut},
        parameters=[PARAMETER],
    )
    @once_per_key
    def post(self, request: Request) -> Response:
        """Send a file. It is read and compared; nothing of it is in the register by this."""
        asked = UploadIn(data=request.data)
        asked.is_valid(raise_exception=True)
        given = asked.validated_data
        areas = areas_for(request.user)
        area = named("area", lambda: areas.get(code=given["area"]), given["area"])
        return accepted(_taken(given, area, request.user))


class UploadDetail(View):
    deeds = {"GET": "register.change"}

    @extend_schema(operation_id="get_upload", tags=["uploads"], responses=UploadOut)
    def get(self, request: Request, upload_id: int) -> Response:
        """How an upload stands: what it would change, or what became of it."""
        mark_uploads_interrupted()
        return Response(UploadOut(found("upload", upload_for, request.user, upload_id)).data)


class UploadProposals(PagedView):
    deeds = {"GET": "register.change"}
    serializer_class = ProposalOut

    @extend_schema(
        operation_id="list_proposals",
        tags=["uploads"],
        responses=ProposalOut(many=True),
        parameters=[
            OpenApiParameter("sheet", str, OpenApiParameter.PATH),
            OpenApiParameter("verdict", str, OpenApiParameter.PATH, enum=Verdict.values),
        ],
    )
    def get(self, request: Request, upload_id: int, sheet: str, verdict: str) -> Response:
        """What the rows of one sheet would do: those that are new, changed, changed by both
        (``conflict``) or refused."""
        upload = found("upload", upload_for, request.user, upload_id)
        if sheet not in upload.counts or verdict not in Verdict.values:
            raise NotFound(f"The upload has no rows {sheet}, {verdict}.")
        page = self.paginate_queryset(proposal_rows(upload, sheet, verdict))
        rows = [told(row) for row in page]
        return self.get_paginated_response(ProposalOut(rows, many=True).data)


def _taken(given: Mapping[str, Any], area: Any, by: Any) -> Any:
    """The upload of a file, whose kind is stated or found out."""
    name, content, kind = given["file"].name, given["file"].read(), given["kind"]
    try:
        if kind == ANY:
            kind = recognise(file_name=name, content=content)
        if kind != UploadKind.MAPPED:
            return receive_upload(file_name=name, content=content, area=area, kind=kind, by=by)
        with transaction.atomic():
            unmapped = keep_unmapped(file_name=name, content=content, area=area, by=by)
            mapping = _mapping(given.get("mapping"), unmapped)
            return map_file(unmapped=unmapped, by=by, **mapping)
    except RefusedFileError as refused:
        raise Invalid({"file": [str(refused)]}) from refused


def _mapping(given: Any, unmapped: Any) -> dict[str, Any]:
    """What the request says of the columns, or else what was said of them the last time."""
    if given is not None:
        asked = MappingIn(data=given)
        if not asked.is_valid():
            raise Invalid({"mapping": [json.dumps(asked.errors)]})
        return dict(asked.validated_data)
    question = mapping_question(unmapped)
    columns = [each.column for each in question.guess.columns]
    if not question.remembered:
        said = json.dumps({"table": question.guess.table.file, "columns": columns})
        raise Invalid({"mapping": [f"Say which column is which; it seems to be {said}."]})
    return {
        "table": question.guess.table.file,
        "sheet": question.sheet if question.sheets else "",
        "columns": columns,
        "values": question.words,
    }
