from django.contrib import admin

from apps.audit.admin import RecordedAdmin
from apps.catalogue import models
from apps.catalogue.admin.sourced import NAMED, SourcedAdmin


@admin.register(models.DeviceClass)
class DeviceClassAdmin(RecordedAdmin):
    list_display = NAMED
    search_fields = NAMED


@admin.register(models.Attribute)
class AttributeAdmin(RecordedAdmin):
    list_display = ("device_class", "code", "name", "value_kind", "ucum", "comparator", "radius")
    list_filter = ("value_kind", "comparator", "radius", "device_class")
    list_select_related = ("device_class",)
    search_fields = ("code", "name", "device_class__code")
    autocomplete_fields = ("device_class",)


@admin.register(models.DeviceModel)
class DeviceModelAdmin(SourcedAdmin):
    list_display = (
        *NAMED, "evidence", "approval", "is_low_cost", "price", "hours_per_year", "source",
    )  # fmt: skip
    list_filter = ("evidence", "approval", "is_low_cost", "programmes", "source_kind")
    autocomplete_fields = ("source", "programmes")


@admin.register(models.ServedClass)
class ServedClassAdmin(RecordedAdmin):
    list_display = ("device_model", "device_class")
    list_filter = ("device_class",)
    list_select_related = ("device_model", "device_class")
    search_fields = ("device_model__code", "device_model__name", "device_class__code")
    autocomplete_fields = ("device_model", "device_class")


@admin.register(models.Specification)
class SpecificationAdmin(SourcedAdmin):
    list_display = ("device_model", "attribute", "value", "source", "source_kind")
    list_filter = ("source_kind", "attribute__device_class")
    list_select_related = ("device_model", "attribute__device_class", "source")
    search_fields = ("device_model__code", "device_model__name", "attribute__code")
    autocomplete_fields = ("device_model", "attribute", "source")
