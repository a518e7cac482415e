"""Methods: the ways to do a test, with what each asks of devices, people and the site."""

from django.db.models import QuerySet
from django_filters import FilterSet
from rest_framework import serializers

from apps.api.fields import Codes, money
from apps.api.filters import CodeFilter, Ordering
from apps.api.v1.sources import SourcedOut, SourceOut
from apps.api.views import Listing, listed_as
from apps.catalogue.choices import Comparator, SourceKind
from apps.catalogue.selectors import methods, tests


class RequirementOut(SourcedOut):
    """What a need asks of one attribute of the device."""

    attribute = serializers.CharField(source="attribute.code")
    attribute_name = serializers.CharField(source="attribute.name")
    ucum = serializers.CharField(source="attribute.ucum", allow_blank=True, help_text="UCUM unit")
    comparator = serializers.ChoiceField(Comparator.choices)
    value = serializers.JSONField(help_text="number, text, true or false, or a list of those")


class NeedOut(serializers.Serializer):
    """A class of device that the method uses."""

    position = serializers.IntegerField()
    device_class = serializers.CharField(source="device_class.code")
    device_class_name = serializers.CharField(source="device_class.name")
    hours = serializers.FloatField(help_text="machine hours per test; 0: takes no measurable time")
    requirements = RequirementOut(many=True)


class MethodOut(SourcedOut):
    code = serializers.CharField()
    name = serializers.CharField()
    test = serializers.CharField(source="test.code")
    sensitivity = serializers.FloatField(help_text="0 to 1")
    sensitivity_source = SourceOut()
    sensitivity_kind = serializers.ChoiceField(SourceKind.choices)
    staff_hours = serializers.FloatField(help_text="per test")
    consumable_cost = money(help_text="per test")
    skills = Codes()
    infrastructure = Codes()
    needs = NeedOut(many=True)


class MethodFilters(FilterSet):
    test = CodeFilter("test", lambda _: tests(), help_text="Code of a test.")
    ordering = Ordering(code="code", name="name", test="test__code", sensitivity="sensitivity")


@listed_as("list_methods", tag="catalogue")
class MethodList(Listing):
    """Methods with their needs, and the source of every number."""

    deeds = {"GET": "register.view"}
    serializer_class = MethodOut
    filterset_class = MethodFilters

    def get_queryset(self) -> QuerySet:
        return methods()
