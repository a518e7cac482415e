from django.contrib import admin

from apps.catalogue import models
from apps.catalogue.admin.sourced import NAMED, SourcedAdmin


class PartAdmin(SourcedAdmin):
    """Facts that belong to a method."""

    list_select_related = ("method", "source")
    search_fields = ("method__code", "method__name")
    autocomplete_fields = ("method", "source")


@admin.register(models.SpinProcedure)
class SpinProcedureAdmin(SourcedAdmin):
    list_display = (
        *NAMED, "rcf_g_low", "rcf_g_high", "radius", "minutes_low", "minutes_high", "gmin_scaling",
    )  # fmt: skip
    list_filter = ("gmin_scaling", "source_kind")


@admin.register(models.MethodStep)
class MethodStepAdmin(PartAdmin):
    list_display = ("method", "position", "kind", "text", "minutes", "spin")
    list_filter = ("kind", "source_kind")
    list_select_related = ("method", "spin")
    autocomplete_fields = ("method", "need", "spin", "source")


@admin.register(models.QualityControl)
class QualityControlAdmin(PartAdmin):
    list_display = ("method", "kind", "every", "interval", "extra_tests_share")
    list_filter = ("kind", "interval", "source_kind")


@admin.register(models.Consumable)
class ConsumableAdmin(SourcedAdmin):
    list_display = (*NAMED, "unit", "unit_price", "storage", "shelf_life_months")
    list_filter = ("storage", "source_kind")


@admin.register(models.MethodConsumable)
class MethodConsumableAdmin(PartAdmin):
    list_display = ("method", "consumable", "quantity")
    list_filter = ("consumable__storage", "source_kind")
    list_select_related = ("method", "consumable")
    search_fields = ("method__code", "consumable__code", "consumable__name")
    autocomplete_fields = ("method", "consumable", "source")
