"""Laboratory tests of the catalogue."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.filters import CodeFilter, Ordering
from apps.api.v1.sources import SourcedOut
from apps.api.views import Listing, listed_as
from apps.catalogue.choices import SourceKind
from apps.catalogue.selectors import programmes, tests


class LabTestOut(SourcedOut):
    code = serializers.CharField()
    name = serializers.CharField()
    programme = serializers.CharField(source="programme.code")
    weight = serializers.FloatField(help_text="value of one correct test")
    max_transport_hours = serializers.FloatField(
        allow_null=True, help_text="how long the specimen may travel; null: it may not"
    )
    specimen = serializers.CharField(allow_blank=True)
    lowest_level = serializers.IntegerField(help_text="lowest level of care that should offer it")


class LabTestFilters(FilterSet):
    programme = CodeFilter("programme", lambda _: programmes(), help_text="Code of a programme.")
    source_kind = ChoiceFilter(choices=SourceKind.choices, help_text="How far to trust it.")
    ordering = Ordering(code="code", name="name", weight="weight", programme="programme__code")


@listed_as("list_tests", tag="catalogue")
class LabTestList(Listing):
    """Laboratory tests: what they are worth, how far their specimens may travel."""

    deeds = {"GET": "register.view"}
    serializer_class = LabTestOut
    filterset_class = LabTestFilters

    def get_queryset(self) -> QuerySet:
        return tests()
