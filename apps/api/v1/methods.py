"""Methods: the ways to do a test, with what each asks of devices, people and the site."""

from typing import Any

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.fields import Codes, money
from apps.api.filters import CodeFilter, Ordering
from apps.api.lookup import found
from apps.api.v1.attributes import OfAttributeOut
from apps.api.v1.evidence import LimitOut, StudyOut
from apps.api.v1.procedures import ConsumableUseOut, ControlOut, StepOut
from apps.api.v1.sources import SourcedOut, SourceOut
from apps.api.views import Listing, View, listed_as
from apps.catalogue.choices import Biosafety, Cadre, ClinicalGrade, Comparator, SourceKind
from apps.catalogue.selectors import method_page, methods, tests


class RequirementOut(OfAttributeOut):
    """What a need asks of one attribute of the device."""

    comparator = serializers.ChoiceField(Comparator.choices)


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


class MethodDetailOut(MethodOut):
    """A method with the way it is done, what is known of it, and what it is verified by."""

    steps = StepOut(many=True)
    controls = ControlOut(many=True)
    consumables = ConsumableUseOut(many=True)
    studies = StudyOut(many=True)
    limits = LimitOut(many=True)


class MethodFilters(FilterSet):
    test = CodeFilter("test", lambda _: tests(), help_text="Code of a test.")
    clinical_grade = ChoiceFilter(
        choices=ClinicalGrade.choices, help_text="What an answer may be used for."
    )
    ordering = Ordering(code="code", name="name", test="test__code", sensitivity="sensitivity")


@listed_as("list_methods", tag="catalogue")
class MethodList(Listing):
    """Methods with their needs, and the source of every number."""

    deeds = {"GET": "register.view"}
    serializer_class = MethodOut
    filterset_class = MethodFilters

    def get_queryset(self) -> QuerySet:
        return methods()


class MethodDetail(View):
    deeds = {"GET": "register.view"}

    @extend_schema(operation_id="get_method", tags=["catalogue"], responses=MethodDetailOut)
    def get(self, request: Request, code: str) -> Response:
        """One method with its steps, controls, consumables, studies and limits."""
        page = found("method", lambda _, code: method_page(code), request.user, code)
        limits = LimitOut(page.limits, many=True).data
        return Response({**_whole(page.method), "limits": limits})


def _whole(method: Any) -> dict[str, Any]:
    return {
        **MethodOut(method).data,
        "steps": StepOut(method.steps, many=True).data,
        "controls": ControlOut(method.controls, many=True).data,
        "consumables": ConsumableUseOut(method.consumables, many=True).data,
        "studies": StudyOut(method.studies, many=True).data,
    }
