"""Areas: districts and their blocks."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.filters import AreaFilter, Ordering
from apps.api.views import Listing, listed_as
from apps.facilities.choices import AreaKind
from apps.facilities.selectors import areas_for


class AreaOut(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(AreaKind.choices)
    parent = serializers.CharField(source="parent.code", default=None, allow_null=True)
    currency = serializers.CharField(help_text="ISO 4217 code")


class AreaFilters(FilterSet):
    kind = ChoiceFilter(choices=AreaKind.choices, help_text="District or block.")
    area = AreaFilter("path")
    ordering = Ordering(code="code", name="name")


@listed_as("list_areas", tag="areas")
class AreaList(Listing):
    """The areas you answer for, and those below them."""

    deeds = {"GET": "register.view"}
    serializer_class = AreaOut
    filterset_class = AreaFilters

    def get_queryset(self) -> QuerySet:
        return areas_for(self.request.user)
