"""Where a number comes from; shown with every number of the catalogue."""

from rest_framework import serializers

from apps.catalogue.choices import SourceKind


class SourceOut(serializers.Serializer):
    code = serializers.CharField()
    title = serializers.CharField()
    kind = serializers.ChoiceField(SourceKind.choices)
    year = serializers.IntegerField(allow_null=True)
    note = serializers.CharField(allow_blank=True)


class SourcedOut(serializers.Serializer):
    """A fact with its source, how far the number may be trusted, and its day."""

    source = SourceOut()
    source_kind = serializers.ChoiceField(SourceKind.choices)
    dated_on = serializers.DateField()
