"""What a site offers, to be read and changed field by field."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.lookup import found
from apps.api.preconditions import (
    ENTRY_KEY,
    IF_MATCH,
    SaidIn,
    changed,
    tagged,
)
from apps.api.views import View
from apps.facilities.choices import Basis, Biosafety, Connectivity, Observer, PowerSource, Water
from apps.facilities.selectors import facility_for
from apps.facilities.services import change_site

UNKNOWN = "null: not known"


def hours(**options: Any) -> serializers.FloatField:
    return serializers.FloatField(allow_null=True, min_value=0, max_value=24, **options)


def number(**options: Any) -> serializers.FloatField:
    return serializers.FloatField(allow_null=True, min_value=0, **options)


class SiteFacts(serializers.Serializer):
    """A null number is unknown, which is not zero; so is a blank word."""

    population = serializers.IntegerField(
        allow_null=True, min_value=0, max_value=10**9, help_text="people in the catchment"
    )
    testing_hours_per_year = serializers.IntegerField(
        allow_null=True,
        min_value=0,
        max_value=10**9,
        help_text="staff hours a year that can go to testing",
    )
    power_source = serializers.ChoiceField(PowerSource.choices)
    power_hours_per_day = hours()
    power_available_w = serializers.IntegerField(
        allow_null=True, min_value=0, max_value=10**9, help_text="watts left for the laboratory"
    )
    open_days_per_week = serializers.FloatField(allow_null=True, min_value=0, max_value=7)
    open_hours_per_day = hours()
    water_source = serializers.ChoiceField(Water.choices, allow_blank=True)
    water_hours_per_day = hours()
    cold_storage_litres = number(help_text="at 2 to 8 degrees C; 0: none")
    cold_holdover_hours = number(help_text="that it stays cold without power")
    connectivity = serializers.ChoiceField(Connectivity.choices, allow_blank=True)
    biosafety = serializers.ChoiceField(Biosafety.choices, allow_blank=True)


class SiteFactsOut(SiteFacts):
    code = serializers.CharField()
    observed_on = serializers.DateField(allow_null=True)
    basis = serializers.ChoiceField(Basis.choices, allow_blank=True)
    observer = serializers.ChoiceField(Observer.choices, allow_blank=True)


class SiteFactsIn(SiteFacts, SaidIn):
    pass


class SiteFactsDetail(View):
    deeds = {"GET": "register.view", "PATCH": "register.change"}
    http_method_names = [*View.http_method_names, "patch"]

    @extend_schema(operation_id="get_site_facts", tags=["register"], responses=SiteFactsOut)
    def get(self, request: Request, code: str) -> Response:
        """What one site offers, with the ETag that a change must name."""
        return tagged(SiteFactsOut(found("site", facility_for, request.user, code)).data)

    @extend_schema(
        operation_id="change_site_facts",
        tags=["register"],
        request=SiteFactsIn,
        responses=SiteFactsOut,
        parameters=[IF_MATCH, ENTRY_KEY],
    )
    def patch(self, request: Request, code: str) -> Response:
        """Change the fields that are sent; 412 with both values if somebody was quicker."""
        return changed(
            request,
            lambda: found("site", facility_for, request.user, code),
            out=SiteFactsOut,
            form=SiteFactsIn,
            change=lambda site, **how: change_site(site=site, by=request.user, **how),
        )
