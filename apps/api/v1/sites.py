"""Sites: the health facilities of the register."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.filters import AreaFilter, Ordering
from apps.api.lookup import found
from apps.api.v1.equipment_items import EquipmentItemOut
from apps.api.views import Listing, View, listed_as
from apps.facilities.choices import Level, PowerSource
from apps.facilities.selectors import facilities_for, facility_for
from apps.inventory.choices import Basis, Presence
from apps.inventory.selectors import infrastructure_at, items_for, skills_at


class SiteOut(serializers.Serializer):
    """A null number is unknown, which is not zero."""

    code = serializers.CharField()
    name = serializers.CharField()
    area = serializers.CharField(source="area.code")
    level = serializers.ChoiceField(Level.choices, help_text="of care, 1 is lowest")
    latitude = serializers.FloatField()
    longitude = serializers.FloatField()
    population = serializers.IntegerField(allow_null=True, help_text="people in the catchment")
    testing_hours_per_year = serializers.IntegerField(
        allow_null=True, help_text="staff hours a year that can go to testing"
    )
    power_source = serializers.ChoiceField(PowerSource.choices)
    power_hours_per_day = serializers.FloatField(allow_null=True)
    observed_on = serializers.DateField(allow_null=True)


class HoldingOut(serializers.Serializer):
    observed_on = serializers.DateField(allow_null=True)
    basis = serializers.ChoiceField(Basis.choices)


class SkillHeldOut(HoldingOut):
    skill = serializers.CharField(source="skill.code")
    name = serializers.CharField(source="skill.name")
    staff_count = serializers.IntegerField()
    last_trained_on = serializers.DateField(allow_null=True)


class InfrastructureHeldOut(HoldingOut):
    infrastructure = serializers.CharField(source="infrastructure.code")
    name = serializers.CharField(source="infrastructure.name")
    presence = serializers.ChoiceField(Presence.choices)


class SiteDetailOut(SiteOut):
    skills = SkillHeldOut(many=True)
    infrastructure = InfrastructureHeldOut(many=True)
    equipment = EquipmentItemOut(many=True)


class SiteFilters(FilterSet):
    area = AreaFilter("area__path")
    level = ChoiceFilter(choices=Level.choices, help_text="Level of care.")
    power_source = ChoiceFilter(choices=PowerSource.choices, help_text="Main source of power.")
    ordering = Ordering(code="code", name="name", level="level", population="population")


@listed_as("list_sites", tag="register")
class SiteList(Listing):
    """Open health facilities in the areas you answer for."""

    deeds = {"GET": "register.view"}
    serializer_class = SiteOut
    filterset_class = SiteFilters

    def get_queryset(self) -> QuerySet:
        return facilities_for(self.request.user)


class SiteDetail(View):
    deeds = {"GET": "register.view"}

    @extend_schema(operation_id="get_site", tags=["register"], responses=SiteDetailOut)
    def get(self, request: Request, code: str) -> Response:
        """One site with the skills, infrastructure and equipment it holds."""
        site = found("site", facility_for, request.user, code)
        held = {
            "skills": SkillHeldOut(skills_at(site), many=True).data,
            "infrastructure": InfrastructureHeldOut(infrastructure_at(site), many=True).data,
            "equipment": EquipmentItemOut(
                items_for(request.user).filter(facility=site), many=True
            ).data,
        }
        return Response({**SiteOut(site).data, **held})
