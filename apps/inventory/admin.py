from django.contrib import admin

from apps.audit.admin import RecordedAdmin
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld


@admin.register(EquipmentItem)
class EquipmentItemAdmin(RecordedAdmin):
    list_display = ("code", "facility", "device_model", "condition", "reason", "observed_on")
    list_filter = ("condition", "reason", "basis", "facility__area")
    list_select_related = ("facility", "device_model")
    search_fields = ("code", "serial_number", "facility__code", "facility__name",
                     "device_model__code", "device_model__name")  # fmt: skip
    autocomplete_fields = ("facility", "device_model")


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
