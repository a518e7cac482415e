from django.contrib import admin

from apps.audit.admin import RecordedAdmin
from apps.catalogue import models

NAMED = ("code", "name")


@admin.register(models.Source)
class SourceAdmin(RecordedAdmin):
    list_display = ("code", "title", "kind", "year")
    list_filter = ("kind",)
    search_fields = ("code", "title", "note")


@admin.register(models.Programme)
class ProgrammeAdmin(RecordedAdmin):
    list_display = NAMED
    search_fields = NAMED


class SourcedAdmin(RecordedAdmin):
    """Facts that carry their source."""

    list_filter = ("source_kind",)
    list_select_related = ("source",)
    search_fields = NAMED
    autocomplete_fields = ("source",)


@admin.register(models.Skill)
class SkillAdmin(SourcedAdmin):
    list_display = (*NAMED, "training_cost", "trainer_days", "supervision_cost", "source")


@admin.register(models.Infrastructure)
class InfrastructureAdmin(SourcedAdmin):
    list_display = (*NAMED, "source", "source_kind")


@admin.register(models.InfrastructureCost)
class InfrastructureCostAdmin(RecordedAdmin):
    list_display = ("infrastructure", "level", "cost")
    list_filter = ("level",)
    list_select_related = ("infrastructure",)
    search_fields = ("infrastructure__code", "infrastructure__name")
    autocomplete_fields = ("infrastructure",)


@admin.register(models.DeviceClass)
class DeviceClassAdmin(RecordedAdmin):
    list_display = NAMED
    search_fields = NAMED


@admin.register(models.Attribute)
class AttributeAdmin(RecordedAdmin):
    list_display = ("device_class", "code", "name", "value_kind", "ucum")
    list_filter = ("value_kind", "device_class")
    list_select_related = ("device_class",)
    search_fields = ("code", "name", "device_class__code")
    autocomplete_fields = ("device_class",)


@admin.register(models.DeviceModel)
class DeviceModelAdmin(SourcedAdmin):
    list_display = (*NAMED, "evidence", "is_low_cost", "price", "hours_per_year", "source")
    list_filter = ("evidence", "is_low_cost", "programmes", "source_kind")
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


@admin.register(models.LabTest)
class LabTestAdmin(SourcedAdmin):
    list_display = (*NAMED, "programme", "weight", "max_transport_hours", "lowest_level")
    list_filter = ("programme", "lowest_level", "source_kind")
    list_select_related = ("programme",)
    autocomplete_fields = ("programme", "source")


@admin.register(models.Method)
class MethodAdmin(SourcedAdmin):
    list_display = (*NAMED, "test", "sensitivity", "staff_hours", "consumable_cost", "source")
    list_filter = ("test__programme", "source_kind")
    list_select_related = ("test", "source")
    search_fields = (*NAMED, "test__code", "test__name")
    autocomplete_fields = ("test", "sensitivity_source", "source", "skills", "infrastructure")


@admin.register(models.Need)
class NeedAdmin(RecordedAdmin):
    list_display = ("method", "position", "device_class", "hours")
    list_filter = ("device_class",)
    list_select_related = ("method", "device_class")
    search_fields = ("method__code", "method__name", "device_class__code")
    autocomplete_fields = ("method", "device_class")


@admin.register(models.Requirement)
class RequirementAdmin(SourcedAdmin):
    list_display = ("need", "attribute", "comparator", "value", "source", "source_kind")
    list_filter = ("comparator", "source_kind", "need__device_class")
    list_select_related = (
        "need__method", "need__device_class", "attribute__device_class", "source",
    )  # fmt: skip
    search_fields = ("need__method__code", "attribute__code")
    autocomplete_fields = ("need", "attribute", "source")
