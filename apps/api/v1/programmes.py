"""Health programmes: their tests, and the earmarked money they may bring."""

from django.db.models import QuerySet
from django_filters import FilterSet
from rest_framework import serializers

from apps.api.filters import Ordering
from apps.api.views import Listing, listed_as
from apps.catalogue.selectors import programmes


class ProgrammeOut(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()


class ProgrammeFilters(FilterSet):
    ordering = Ordering(code="code", name="name")


@listed_as("list_programmes", tag="catalogue")
class ProgrammeList(Listing):
    """Health programmes of the catalogue."""

    deeds = {"GET": "register.view"}
    serializer_class = ProgrammeOut
    filterset_class = ProgrammeFilters

    def get_queryset(self) -> QuerySet:
        return programmes()
