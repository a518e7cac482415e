from django.contrib import admin

from apps.audit.admin import RecordedAdmin
from apps.catalogue import models
from apps.catalogue.admin.sourced import NAMED, SourcedAdmin


@admin.register(models.Source)
class SourceAdmin(RecordedAdmin):
    list_display = ("code", "title", "kind", "year")
    list_filter = ("kind",)
    search_fields = ("code", "title", "note")


@admin.register(models.Programme)
class ProgrammeAdmin(RecordedAdmin):
    list_display = NAMED
    search_fields = NAMED


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
