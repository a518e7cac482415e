"""Serializer bases and fields that several nouns share."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers


class Incoming(serializers.Serializer):
    """A body that may hold the fields declared and no others.

    A misspelt name of an optional limit would otherwise mean "no limit".
    """

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        values = super().to_internal_value(data)
        if unknown := sorted(set(data) - set(self.fields)):
            known = ", ".join(self.fields)
            text = f"There is no such field. There are: {known}."
            raise serializers.ValidationError({name: [text] for name in unknown})
        return values


@extend_schema_field({"type": "array", "items": {"type": "string"}})
class Codes(serializers.Field):
    """The codes of the rows behind a relation, in the rows' own order."""

    def to_representation(self, rows: Any) -> list[str]:
        return [row.code for row in rows.all()]


def money(**options: Any) -> serializers.DecimalField:
    """An amount in the district's currency; a decimal text in JSON, so that nothing rounds it."""
    return serializers.DecimalField(max_digits=14, decimal_places=4, min_value=0, **options)
