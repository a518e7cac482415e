from django.contrib import admin

from apps.catalogue import models
from apps.catalogue.admin.sourced import NAMED, SourcedAdmin


@admin.register(models.LabTest)
class LabTestAdmin(SourcedAdmin):
    list_display = (*NAMED, "programme", "weight", "max_transport_hours", "lowest_level")
    list_filter = ("programme", "lowest_level", "source_kind")
    list_select_related = ("programme",)
    autocomplete_fields = ("programme", "source")


@admin.register(models.Method)
class MethodAdmin(SourcedAdmin):
    list_display = (
        *NAMED, "test", "clinical_grade", "sensitivity", "specificity", "cadre", "batch_size",
        "staff_hours", "consumable_cost", "source",
    )  # fmt: skip
    list_filter = ("clinical_grade", "cadre", "biosafety", "test__programme", "source_kind")
    list_select_related = ("test", "source")
    search_fields = (*NAMED, "test__code", "test__name")
    autocomplete_fields = (
        "test", "sensitivity_source", "specificity_source", "source", "skills", "infrastructure",
    )  # fmt: skip


@admin.register(models.Need)
class NeedAdmin(SourcedAdmin):
    list_display = ("method", "position", "device_class", "minutes_per_run", "samples_per_run")
    list_filter = ("device_class", "source_kind")
    list_select_related = ("method", "device_class")
    search_fields = ("method__code", "method__name", "device_class__code")
    autocomplete_fields = ("method", "device_class", "source")


@admin.register(models.Requirement)
class RequirementAdmin(SourcedAdmin):
    list_display = ("need", "attribute", "comparator", "value", "source", "source_kind")
    list_filter = ("comparator", "source_kind", "need__device_class")
    list_select_related = (
        "need__method", "need__device_class", "attribute__device_class", "source",
    )  # fmt: skip
    search_fields = ("need__method__code", "attribute__code")
    autocomplete_fields = ("need", "attribute", "source")
