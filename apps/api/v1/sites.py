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
from apps.api.v1.site_facts import SiteFactsOut
from apps.api.views import Listing, View, listed_as
from apps.catalogue.choices import Cadre
from apps.facilities.choices import Level, Observer, PowerSource
from apps.facilities.selectors import facilities_for, facility_for
from apps.inventory.choices import Basis, Presence
from apps.inventory.selectors import infrastructure_at, items_for, skills_at, staff_at, stock_at


class SiteOut(SiteFactsOut):
    """A null number is unknown, which is not zero."""

    name = serializers.CharField()
    area = serializers.CharField(source="area.code")
    level = serializers.ChoiceField(Level.choices, help_text="of care, 1 is lowest")
    latitude = serializers.FloatField()
    longitude = serializers.FloatField()


class HoldingOut(serializers.Serializer):
    observed_on = serializers.DateField(allow_null=True)
    basis = serializers.ChoiceField(Basis.choices)
    observer = serializers.ChoiceField(Observer.choices, allow_blank=True)


class SkillHeldOut(HoldingOut):
    skill = serializers.CharField(source="skill.code")
    name = serializers.CharField(source="skill.name")
    staff_count = serializers.IntegerField()
    last_trained_on = serializers.DateField(allow_null=True)
    last_supervised_on = serializers.DateField(allow_null=True)


class InfrastructureHeldOut(HoldingOut):
    infrastructure = serializers.CharField(source="infrastructure.code")
    name = serializers.CharField(source="infrastructure.name")
    presence = serializers.ChoiceField(Presence.choices)


class StaffHeldOut(HoldingOut):
    cadre = serializers.ChoiceField(Cadre.choices)
    staff_count = serializers.IntegerField()
    testing_hours_per_week = serializers.FloatField(allow_null=True, help_text="of each of them")


class StockHeldOut(HoldingOut):
    consumable = serializers.CharField(source="consumable.code")
    name = serializers.CharField(source="consumable.name")
    days_of_stock = serializers.FloatField(allow_null=True, help_text="0: stocked out")
    expires_on = serializers.DateField(allow_null=True)


class SiteDetailOut(SiteOut):
    staff = StaffHeldOut(many=True)
    stock = StockHeldOut(many=True)
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
            "staff": StaffHeldOut(staff_at(site), many=True).data,
            "stock": StockHeldOut(stock_at(site), many=True).data,
            "skills": SkillHeldOut(skills_at(site), many=True).data,
            "infrastructure": InfrastructureHeldOut(infrastructure_at(site), many=True).data,
            "equipment": EquipmentItemOut(
                items_for(request.user).filter(facility=site), many=True
            ).data,
        }
        return Response({**SiteOut(site).data, **held})
