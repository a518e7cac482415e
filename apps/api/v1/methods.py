"""Methods: the ways to do a test, with what each asks of devices, people and the site."""

from django.db.models import QuerySet
from django_filters import FilterSet
from rest_framework import serializers

from apps.api.fields import Codes, money
from apps.api.filters import CodeFilter, Ordering
from apps.api.v1.sources import SourcedOut, SourceOut
from apps.api.views import Listing, listed_as
from apps.catalogue.choices import Biosafety, Cadre, ClinicalGrade, Comparator, SourceKind
from apps.catalogue.selectors import methods, tests


class RequirementOut(SourcedOut):
    """What a need asks of one attribute of the device."""

    attribute = serializers.CharField(source="attribute.code")
    attribute_name = serializers.CharField(source="attribute.name")
    ucum = serializers.CharField(source="attribute.ucum", allow_blank=True, help_text="UCUM unit")
    comparator = serializers.ChoiceField(Comparator.choices)
    value = serializers.JSONField(help_text="number, text, true or false, or a list of those")


class NeedOut(SourcedOut):
    """A class of device that the method uses."""

    position = serializers.IntegerField()
    device_class = serializers.CharField(source="device_class.code")
    device_class_name = serializers.CharField(source="device_class.name")
    minutes_per_run = serializers.FloatField(help_text="0: takes no measurable time")
    samples_per_run = serializers.IntegerField()
    hours = serializers.FloatField(help_text="machine hours per test, from the two above")
    requirements = RequirementOut(many=True)


class MethodOut(SourcedOut):
    code = serializers.CharField()
    name = serializers.CharField()
    test = serializers.CharField(source="test.code")
    clinical_grade = serializers.ChoiceField(ClinicalGrade.choices)
    sensitivity = serializers.FloatField(help_text="0 to 1")
    sensitivity_source = SourceOut()
    sensitivity_kind = serializers.ChoiceField(SourceKind.choices)
    specificity = serializers.FloatField(allow_null=True, help_text="0 to 1; null: unknown")
    specificity_source = SourceOut(allow_null=True)
    specificity_kind = serializers.ChoiceField(SourceKind.choices, allow_blank=True)
    cadre = serializers.ChoiceField(Cadre.choices, help_text="the least trained who may do it")
    batch_size = serializers.IntegerField()
    minutes_per_batch = serializers.FloatField(help_text="hands-on, once for the batch")
    minutes_per_sample = serializers.FloatField(help_text="hands-on, for each sample besides")
    staff_hours = serializers.FloatField(help_text="per test, from the three above")
    consumable_cost = money(help_text="per test")
    biosafety = serializers.ChoiceField(Biosafety.choices)
    cautions = serializers.CharField(allow_blank=True)
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
