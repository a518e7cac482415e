from django.contrib import admin

from apps.catalogue import models
from apps.catalogue.admin.sourced import SourcedAdmin


@admin.register(models.PlanningRange)
class PlanningRangeAdmin(SourcedAdmin):
    list_display = ("device_class", "variant", "measure", "low", "high", "source")
    list_filter = ("measure", "source_kind")
    list_select_related = ("device_class", "source")
    search_fields = ("device_class__code", "device_class__name")
    autocomplete_fields = ("device_class", "source")


@admin.register(models.VerificationLimit)
class VerificationLimitAdmin(SourcedAdmin):
    list_display = ("code", "rule", "measure", "analyte", "low", "high", "ucum", "valid_months")
    list_filter = ("rule", "measure", "source_kind")
    search_fields = ("code", "rule", "analyte")
    autocomplete_fields = ("device_class", "method", "test", "source")


@admin.register(models.Study)
class StudyAdmin(SourcedAdmin):
    list_display = (
        "code", "device_model", "method", "setting", "n", "sensitivity", "specificity", "source",
    )  # fmt: skip
    list_filter = ("setting", "intended_users", "peer_reviewed", "limits_met", "source_kind")
    list_select_related = ("device_model", "method", "source")
    search_fields = ("code", "device_model__code", "method__code", "reference")
    autocomplete_fields = ("device_model", "method", "source")
