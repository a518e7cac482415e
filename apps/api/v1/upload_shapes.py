"""What is sent and told of uploads."""

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from apps.api.fields import Incoming
from apps.imports.adapters.readers import READERS
from apps.imports.choices import UploadKind, UploadState

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


def told(row: Mapping[str, Any]) -> dict[str, Any]:
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
