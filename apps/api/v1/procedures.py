"""How methods are done: steps, spins, controls, consumables."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.fields import money
from apps.api.filters import Ordering
from apps.api.v1.sources import SourcedOut
from apps.api.views import Listing, listed_as
from apps.catalogue.choices import (
    ControlKind,
    Interval,
    Radius,
    Scaling,
    SourceKind,
    StepKind,
    Storage,
)
from apps.catalogue.selectors import spin_procedures


class SpinOut(SourcedOut):
    """Force and time of a procedure as its source states them; null force: it does not say."""

    code = serializers.CharField()
    name = serializers.CharField()
    rcf_g_low = serializers.FloatField(allow_null=True)
    rcf_g_high = serializers.FloatField(allow_null=True)
    radius = serializers.ChoiceField(Radius.choices)
    minutes_low = serializers.FloatField()
    minutes_high = serializers.FloatField()
    gmin_scaling = serializers.ChoiceField(Scaling.choices)
    acceptance = serializers.CharField(allow_blank=True)


class StepOut(SourcedOut):
    position = serializers.IntegerField()
    kind = serializers.ChoiceField(StepKind.choices)
    text = serializers.CharField()
    minutes = serializers.FloatField(allow_null=True, help_text="of the batch, waiting included")
    need = serializers.IntegerField(
        source="need.position", default=None, allow_null=True, help_text="position of the need"
    )
    spin = SpinOut(allow_null=True)


class ControlOut(SourcedOut):
    kind = serializers.ChoiceField(ControlKind.choices)
    every = serializers.FloatField(help_text="1 with day: once a day")
    interval = serializers.ChoiceField(Interval.choices)
    extra_tests_share = serializers.FloatField(help_text="of the tests done")


class ConsumableUseOut(SourcedOut):
    """What one test takes of a consumable; the source is that of the quantity."""

    consumable = serializers.CharField(source="consumable.code")
    name = serializers.CharField(source="consumable.name")
    quantity = serializers.DecimalField(max_digits=10, decimal_places=4)
    unit = serializers.CharField(source="consumable.unit")
    unit_price = money(source="consumable.unit_price")
    storage = serializers.ChoiceField(Storage.choices, source="consumable.storage")
    ambient_max_c = serializers.FloatField(source="consumable.ambient_max_c", allow_null=True)
    shelf_life_months = serializers.IntegerField(
        source="consumable.shelf_life_months", allow_null=True
    )
    litres_per_unit = serializers.FloatField(source="consumable.litres_per_unit", allow_null=True)


class SpinFilters(FilterSet):
    source_kind = ChoiceFilter(choices=SourceKind.choices, help_text="How far to trust it.")
    ordering = Ordering(code="code", name="name")


@listed_as("list_spin_procedures", tag="catalogue")
class SpinList(Listing):
    """What procedures ask of a centrifuge: force at a radius, and time."""

    deeds = {"GET": "register.view"}
    serializer_class = SpinOut
    filterset_class = SpinFilters

    def get_queryset(self) -> QuerySet:
        return spin_procedures()
