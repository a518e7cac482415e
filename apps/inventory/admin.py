from typing import Any

from django.contrib import admin
from django.forms import ModelForm
from django.http import HttpRequest

from apps.audit.admin import ReadOnlyAdmin, RecordedAdmin
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    Move,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
    Verification,
)
from apps.inventory.services import end_outdated


@admin.register(EquipmentItem)
class EquipmentItemAdmin(RecordedAdmin):
    list_display = ("code", "facility", "device_model", "condition", "reason", "observed_on")
    list_filter = ("condition", "reason", "basis", "facility__area")
    list_select_related = ("facility", "device_model")
    search_fields = ("code", "serial_number", "facility__code", "facility__name",
                     "device_model__code", "device_model__name")  # fmt: skip
    autocomplete_fields = ("facility", "device_model")

    def save_related(self, request: HttpRequest, form: ModelForm, formsets: Any, change: bool):
        """A device that breaks or moves loses what was measured on it."""
        super().save_related(request, form, formsets, change)
        end_outdated(by=request.user)


@admin.register(SkillHeld)
class SkillHeldAdmin(RecordedAdmin):
    list_display = ("facility", "skill", "staff_count", "last_trained_on", "observed_on", "basis")
    list_filter = ("skill", "basis", "facility__area")
    list_select_related = ("facility", "skill")
    search_fields = ("facility__code", "facility__name", "skill__code", "skill__name")
    autocomplete_fields = ("facility", "skill")


@admin.register(InfrastructureHeld)
class InfrastructureHeldAdmin(RecordedAdmin):
    list_display = ("facility", "infrastructure", "presence", "observed_on", "basis")
    list_filter = ("presence", "infrastructure", "basis", "facility__area")
    list_select_related = ("facility", "infrastructure")
    search_fields = ("facility__code", "facility__name", "infrastructure__code")
    autocomplete_fields = ("facility", "infrastructure")


@admin.register(StaffHeld)
class StaffHeldAdmin(RecordedAdmin):
    list_display = ("facility", "cadre", "staff_count", "testing_hours_per_week", "observed_on")
    list_filter = ("cadre", "basis", "facility__area")
    list_select_related = ("facility",)
    search_fields = ("facility__code", "facility__name")
    autocomplete_fields = ("facility",)


@admin.register(ConsumableHeld)
class ConsumableHeldAdmin(RecordedAdmin):
    list_display = ("facility", "consumable", "days_of_stock", "expires_on", "observed_on")
    list_filter = ("basis", "facility__area")
    list_select_related = ("facility", "consumable")
    search_fields = ("facility__code", "facility__name", "consumable__code", "consumable__name")
    autocomplete_fields = ("facility", "consumable")


@admin.register(Move)
class MoveAdmin(ReadOnlyAdmin):
    list_display = ("item", "moved_on", "origin", "destination", "why")
    list_filter = ("moved_on",)
    list_select_related = ("item__device_model", "origin", "destination")
    search_fields = ("item__code", "origin__name", "destination__name")


@admin.register(ServiceEntry)
class ServiceEntryAdmin(ReadOnlyAdmin):
    list_display = ("item", "done_on", "kind", "cause", "days_down", "cost")
    list_filter = ("kind", "cause", "done_on")
    list_select_related = ("item__device_model",)
    search_fields = ("item__code", "item__facility__name", "parts", "note")


@admin.register(Verification)
class VerificationAdmin(ReadOnlyAdmin):
    list_display = ("code", "item", "kind", "rule", "done_on", "outcome", "valid_until")
    list_filter = ("kind", "outcome", "rule", "done_on")
    list_select_related = ("item__device_model",)
    search_fields = ("code", "item__code", "item__facility__code", "item__facility__name")
