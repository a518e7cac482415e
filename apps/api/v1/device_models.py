"""Generic device models: what they do, what they cost, and the evidence behind them."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from django_filters.rest_framework import BooleanFilter
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.fields import Codes, money
from apps.api.filters import CodeFilter, Ordering
from apps.api.lookup import found
from apps.api.v1.attributes import OfAttributeOut
from apps.api.v1.evidence import EvidenceOut, LimitOut
from apps.api.v1.sources import SourcedOut
from apps.api.views import Listing, View, listed_as
from apps.catalogue.choices import Approval, Grade, Planned
from apps.catalogue.selectors import device_models, device_page, programmes


class SpecificationOut(OfAttributeOut):
    """One property of the model in one role; one that is not listed is unknown."""

    device_class = serializers.CharField(source="attribute.device_class.code")


class PlanningRangeOut(SourcedOut):
    """What devices of a class usually cost, draw, last and take to learn; never a quotation."""

    device_class = serializers.CharField(source="device_class.code")
    variant = serializers.CharField(allow_blank=True, help_text="kind of device in the class")
    measure = serializers.ChoiceField(Planned.choices)
    low = serializers.FloatField()
    high = serializers.FloatField()


class ServedClassOut(serializers.Serializer):
    code = serializers.CharField(source="device_class.code")
    name = serializers.CharField(source="device_class.name")


class DeviceModelOut(SourcedOut):
    code = serializers.CharField()
    name = serializers.CharField()
    evidence = serializers.ChoiceField(Grade.choices)
    approval = serializers.ChoiceField(Approval.choices)
    is_low_cost = serializers.BooleanField()
    price = money(help_text="landed: purchase, freight, installation")
    annual_cost = money(help_text="a year, per working unit")
    repair_cost = money()
    hours_per_year = serializers.FloatField(help_text="usable machine hours of one working unit")
    programmes = Codes(help_text="whose earmarked money may pay for it")
    cautions = serializers.CharField(allow_blank=True)
    served_classes = ServedClassOut(many=True)
    specifications = SpecificationOut(many=True)


class DeviceModelDetailOut(DeviceModelOut):
    """A model with the evidence behind it and what its classes are verified by."""

    evidence_behind = EvidenceOut()
    limits = LimitOut(many=True)
    planning_ranges = PlanningRangeOut(many=True)


class DeviceModelFilters(FilterSet):
    evidence = ChoiceFilter(choices=Grade.choices, help_text="Evidence grade; A is best.")
    is_low_cost = BooleanFilter(help_text="Low-cost models only, or none of them.")
    programme = CodeFilter(
        "programmes", lambda _: programmes(), help_text="Code of a programme that may pay."
    )
    ordering = Ordering(code="code", name="name", evidence="evidence", price="price")


@listed_as("list_device_models", tag="catalogue")
class DeviceModelList(Listing):
    """Device models with their specifications, and the source of every number."""

    deeds = {"GET": "register.view"}
    serializer_class = DeviceModelOut
    filterset_class = DeviceModelFilters

    def get_queryset(self) -> QuerySet:
        return device_models()


class DeviceModelDetail(View):
    deeds = {"GET": "register.view"}

    @extend_schema(
        operation_id="get_device_model", tags=["catalogue"], responses=DeviceModelDetailOut
    )
    def get(self, request: Request, code: str) -> Response:
        """One device model with its studies, the grade they give it, and its limits."""
        page = found("device model", lambda _, code: device_page(code), request.user, code)
        behind = EvidenceOut(page.evidence).data
        limits = LimitOut(page.limits, many=True).data
        shown = DeviceModelOut(page.model).data
        ranges = PlanningRangeOut(page.ranges, many=True).data
        return Response(
            {**shown, "evidence_behind": behind, "limits": limits, "planning_ranges": ranges}
        )
