"""Uploads: files that are looked at before anything of them gets into the register."""

import json
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.exceptions import NotFound
from rest_framework.exceptions import ValidationError as Invalid
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.errors import Refused
from apps.api.fields import Incoming
from apps.api.filters import AreaFilter, Ordering
from apps.api.idempotency import PARAMETER, once_per_key
from apps.api.lookup import found, named
from apps.api.views import PagedView, View
from apps.facilities.selectors import areas_for
from apps.imports.adapters.readers import READERS
from apps.imports.adapters.sources import RefusedFileError
from apps.imports.choices import UploadKind, UploadState, Verdict
from apps.imports.selectors import proposal_rows, upload_for, uploads_for
from apps.imports.services import (
    apply_upload,
    cancel_upload,
    choose_from_upload,
    keep_unmapped,
    map_file,
    mapping_question,
    mark_uploads_interrupted,
    receive_upload,
    recognise,
    undo_upload,
)

ANY = "any"
KINDS = [
    *((kind.value, kind.label) for kind in UploadKind if kind in READERS),
    (ANY, "Any of these: it is found out"),
]


class UploadIn(Incoming):
    file = serializers.FileField(allow_empty_file=True, help_text="at most 50 MB")
    area = serializers.SlugField(help_text="rows about anything outside it are refused")
    kind = serializers.ChoiceField(KINDS, default=UploadKind.WORKBOOK)
    mapping = serializers.JSONField(
        required=False,
        help_text="of a spreadsheet of one's own, as JSON: table, sheet, columns (ours for each"
        " of the file's, or nothing) and values (column: word: value); without it, what was"
        " confirmed for these headings the last time",
    )


class MappingIn(Incoming):
    """What ``mapping`` holds."""

    table = serializers.CharField()
    sheet = serializers.CharField(default="", allow_blank=True)
    columns = serializers.ListField(child=serializers.CharField(allow_blank=True))
    values = serializers.DictField(
        child=serializers.DictField(child=serializers.CharField(allow_blank=True)), default=dict
    )


class SheetOut(serializers.Serializer):
    """How many rows of one sheet would do what."""

    sheet = serializers.CharField(help_text="name of the table's file in a folder")
    title = serializers.CharField(help_text="what the file calls it")
    refused = serializers.IntegerField()
    conflict = serializers.IntegerField(help_text="changed by the file and by somebody else")
    changed = serializers.IntegerField()
    new = serializers.IntegerField()
    unchanged = serializers.IntegerField()
    blank = serializers.IntegerField(help_text="prepared lines that nobody filled in")


class UploadOut(serializers.Serializer):
    """A file and how it stands. Only an applied one has changed anything."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(UploadKind.choices)
    file_name = serializers.CharField()
    sha256 = serializers.CharField()
    size_bytes = serializers.IntegerField()
    area = serializers.CharField(source="area.code")
    by = serializers.CharField(source="by.username")
    at = serializers.DateTimeField()
    state = serializers.ChoiceField(UploadState.choices)
    rows_done = serializers.IntegerField()
    rows_total = serializers.IntegerField(allow_null=True)
    message = serializers.CharField(allow_blank=True, help_text="what went wrong and what to do")
    notes = serializers.ListField(child=serializers.CharField())
    sheets = serializers.SerializerMethodField()
    applied_at = serializers.DateTimeField(allow_null=True)
    undone_at = serializers.DateTimeField(allow_null=True)

    @extend_schema_field(SheetOut(many=True))
    def get_sheets(self, upload: Any) -> list[dict[str, Any]]:
        return [{"sheet": file, **counts} for file, counts in upload.counts.items()]


class FaultOut(serializers.Serializer):
    column = serializers.CharField(allow_blank=True, help_text="blank: the row as a whole")
    value = serializers.CharField(allow_blank=True)
    reason = serializers.CharField()
    remedy = serializers.CharField(help_text="what to do")


class FieldOut(serializers.Serializer):
    """One field from what to what; where both changed it, also what was given out."""

    field = serializers.CharField()
    before = serializers.JSONField(help_text="null: not known, or no row")
    after = serializers.JSONField(help_text="null: not known")
    given_out = serializers.JSONField(help_text="null where it plays no part")
    is_conflict = serializers.BooleanField()


class ProposalOut(serializers.Serializer):
    """What one row of the file would do."""

    line = serializers.IntegerField(help_text="the row of the sheet")
    key = serializers.ListField(child=serializers.JSONField(), help_text="what it is known by")
    fields = FieldOut(many=True)
    faults = FaultOut(many=True, help_text="what is wrong, of a refused row")


class SheetChoiceIn(Incoming):
    leave = serializers.BooleanField(default=False, help_text="apply nothing of the sheet")
    without = serializers.ListField(
        child=serializers.IntegerField(), default=list, help_text="rows to be left out"
    )
    take = serializers.ListField(
        child=serializers.IntegerField(),
        default=list,
        help_text="rows of which the file's value wins where both changed it",
    )


class ApplyIn(Incoming):
    choice = serializers.DictField(
        child=SheetChoiceIn(),
        default=dict,
        help_text="sheet: what of it is to be applied; a sheet that is not named is applied whole",
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
        return _accepted(_taken(given, area, request.user))


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
        rows = [_told(row) for row in page]
        return self.get_paginated_response(ProposalOut(rows, many=True).data)


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
        return _accepted(_in_state(lambda: apply_upload(upload=upload, by=request.user)))


class UploadUndo(View):
    deeds = {"POST": "register.change"}

    @extend_schema(
        operation_id="undo_upload", tags=["uploads"], request=None, responses={202: UploadOut}
    )
    def post(self, request: Request, upload_id: int) -> Response:
        """Undo all that an upload changed, as one step; refused if any of it changed since."""
        upload = found("upload", upload_for, request.user, upload_id)
        return _accepted(_in_state(lambda: undo_upload(upload=upload, by=request.user)))


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


def _accepted(upload: Any) -> Response:
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


def _told(row: Mapping[str, Any]) -> dict[str, Any]:
    """A kept proposal as the document says of it."""
    new = [_field(name, None, value) for name, value in row.get("values", {}).items()]
    changed = [
        _field(name, before, after) for name, (before, after) in row.get("fields", {}).items()
    ]
    both = [
        _field(name, now, mine, was, is_conflict=True)
        for name, (was, now, mine) in row.get("both", {}).items()
    ]
    return {
        "line": row["line"],
        "key": row.get("key", []),
        "fields": [*new, *changed, *both],
        "faults": row.get("faults", []),
    }


def _field(
    name: str, before: Any, after: Any, given_out: Any = None, *, is_conflict: bool = False
) -> dict[str, Any]:
    return {
        "field": name,
        "before": before,
        "after": after,
        "given_out": given_out,
        "is_conflict": is_conflict,
    }
