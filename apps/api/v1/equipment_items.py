"""Equipment items: the single devices at the sites."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.views import Listing, listed_as
from apps.catalogue.selectors import device_models
from apps.facilities.selectors import facilities_for
from apps.inventory.choices import Basis, Condition, Reason
from apps.inventory.selectors import items_for


class EquipmentItemOut(serializers.Serializer):
    code = serializers.CharField(help_text="inventory number")
    site = serializers.CharField(source="facility.code")
    device_model = serializers.CharField(source="device_model.code")
    device_model_name = serializers.CharField(source="device_model.name")
    serial_number = serializers.CharField(allow_blank=True)
    condition = serializers.ChoiceField(Condition.choices)
    reason = serializers.ChoiceField(Reason.choices, allow_blank=True)
    received_on = serializers.DateField(allow_null=True)
    observed_on = serializers.DateField(allow_null=True)
    basis = serializers.ChoiceField(Basis.choices)
    note = serializers.CharField(allow_blank=True)


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
