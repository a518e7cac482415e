from typing import Any

from django.contrib import admin
from django.forms import ModelForm
from django.http import HttpRequest

from apps.audit.admin import ReadOnlyAdmin, RecordedAdmin
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld, Verification
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


@admin.register(Verification)
class VerificationAdmin(ReadOnlyAdmin):
    list_display = ("code", "item", "kind", "rule", "done_on", "outcome", "valid_until")
    list_filter = ("kind", "outcome", "rule", "done_on")
    list_select_related = ("item__device_model",)
    search_fields = ("code", "item__code", "item__facility__code", "item__facility__name")
