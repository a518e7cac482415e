"""Equipment items: the single devices at the sites."""

from typing import Any

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.fields import money
from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.lookup import found
from apps.api.preconditions import (
    ENTRY_KEY,
    IF_MATCH,
    SaidIn,
    changed,
    tagged,
)
from apps.api.views import Listing, View, listed_as
from apps.catalogue.selectors import device_models
from apps.facilities.choices import Observer
from apps.facilities.selectors import facilities_for
from apps.inventory.choices import Arrival, Basis, Condition, Known, Reason
from apps.inventory.selectors import item_for, items_for
from apps.inventory.services import change_item


def day(**options: Any) -> serializers.DateField:
    return serializers.DateField(allow_null=True, **options)


def words(most: int, **options: Any) -> serializers.CharField:
    return serializers.CharField(allow_blank=True, max_length=most, **options)


class ItemFacts(serializers.Serializer):
    """The file of a device (ISO 15189:2022, 6.4.7); null or blank is not known."""

    serial_number = words(80)
    condition = serializers.ChoiceField(Condition.choices)
    reason = serializers.ChoiceField(Reason.choices, allow_blank=True)
    received_on = day()
    note = words(300)
    manufacturer = words(120)
    supplier = words(120)
    software_version = words(60)
    manufactured_on = day()
    purchased_on = day()
    accepted_on = day()
    in_service_on = day()
    condition_when_received = serializers.ChoiceField(Arrival.choices, allow_blank=True)
    conformity_document = words(200)
    location = words(120, help_text="room or bench")
    instructions_held = serializers.ChoiceField(Known.choices, allow_blank=True)
    maintenance_programme = serializers.ChoiceField(Known.choices, allow_blank=True)
    last_calibrated_on = day()
    calibration_due_on = day()
    last_serviced_on = day()
    service_due_on = day()
    warranty_until = day()
    contract = words(120)
    contract_until = day()
    purchase_cost = money(allow_null=True)
    contact = words(200)


class EquipmentItemOut(ItemFacts):
    code = serializers.CharField(help_text="inventory number")
    site = serializers.CharField(source="facility.code")
    device_model = serializers.CharField(source="device_model.code")
    device_model_name = serializers.CharField(source="device_model.name")
    observed_on = serializers.DateField(allow_null=True)
    basis = serializers.ChoiceField(Basis.choices)
    observer = serializers.ChoiceField(Observer.choices, allow_blank=True)


class EquipmentItemIn(ItemFacts, SaidIn):
    pass


class EquipmentItemFilters(FilterSet):
    site = CodeFilter(
        "facility",
        lambda request: facilities_for(request.user),
        help_text="Code of a site.",
    )
    area = AreaFilter("facility__area__path")
    device_model = CodeFilter(
        "device_model", lambda _: device_models(), help_text="Code of a device model."
    )
    condition = ChoiceFilter(choices=Condition.choices, help_text="State the item is in.")
    reason = ChoiceFilter(
        choices=[each for each in Reason.choices if each[0]], help_text="Why it is not in use."
    )
    ordering = Ordering(
        code="code",
        site="facility__code",
        device_model="device_model__code",
        condition="condition",
        observed_on="observed_on",
    )


@listed_as("list_equipment_items", tag="register")
class EquipmentItemList(Listing):
    """Devices at the sites of your areas, with their condition and how it is known."""

    deeds = {"GET": "register.view"}
    serializer_class = EquipmentItemOut
    filterset_class = EquipmentItemFilters

    def get_queryset(self) -> QuerySet:
        return items_for(self.request.user)


class EquipmentItemDetail(View):
    deeds = {"GET": "register.view", "PATCH": "register.change"}
    http_method_names = [*View.http_method_names, "patch"]

    @extend_schema(operation_id="get_equipment_item", tags=["register"], responses=EquipmentItemOut)
    def get(self, request: Request, code: str) -> Response:
        """One device with its file, and the ETag that a change must name."""
        return tagged(EquipmentItemOut(found("item", item_for, request.user, code)).data)

    @extend_schema(
        operation_id="change_equipment_item",
        tags=["register"],
        request=EquipmentItemIn,
        responses=EquipmentItemOut,
        parameters=[IF_MATCH, ENTRY_KEY],
    )
    def patch(self, request: Request, code: str) -> Response:
        """Change the fields that are sent; 412 with both values if somebody was quicker."""
        return changed(
            request,
            lambda: found("item", item_for, request.user, code),
            out=EquipmentItemOut,
            form=EquipmentItemIn,
            change=lambda item, **how: change_item(item=item, by=request.user, **how),
        )
