from django.contrib import admin
from django.http import HttpRequest

from apps.audit.admin import ReadOnlyAdmin, RecordedAdmin
from apps.facilities.models import (
    Area,
    Facility,
    Observation,
    ReferralRoute,
    Stewardship,
    TravelTime,
)


@admin.register(Area)
class AreaAdmin(RecordedAdmin):
    list_display = ("code", "name", "kind", "parent", "currency")
    list_filter = ("kind",)
    list_select_related = ("parent",)
    search_fields = ("code", "name")
    autocomplete_fields = ("parent",)

    def get_readonly_fields(self, request: HttpRequest, obj: Area | None = None) -> tuple[str, ...]:
        # Both are part of the paths of all areas below, by which people see or do not see them.
        return ("code", "parent") if obj else ()


@admin.register(Stewardship)
class StewardshipAdmin(RecordedAdmin):
    list_display = ("user", "area")
    list_filter = ("user__role",)
    list_select_related = ("user", "area")
    search_fields = ("user__username", "area__code", "area__name")
    autocomplete_fields = ("user", "area")


@admin.register(Facility)
class FacilityAdmin(RecordedAdmin):
    list_display = (
        "code", "name", "area", "level", "population", "testing_hours_per_year", "power_source",
        "closed_on",
    )  # fmt: skip
    list_filter = ("level", "power_source", ("closed_on", admin.EmptyFieldListFilter), "area")
    list_select_related = ("area",)
    search_fields = ("code", "name", "area__code", "area__name")
    autocomplete_fields = ("area",)


@admin.register(ReferralRoute)
class ReferralRouteAdmin(RecordedAdmin):
    list_display = ("origin", "destination", "collection_weekdays", "hours", "cost_per_specimen")
    list_filter = ("origin__area",)
    list_select_related = ("origin", "destination")
    search_fields = ("origin__code", "origin__name", "destination__code", "destination__name")
    autocomplete_fields = ("origin", "destination")


@admin.register(TravelTime)
class TravelTimeAdmin(RecordedAdmin):
    list_display = ("origin", "destination", "mode", "season", "hours", "source", "measured_on")
    list_filter = ("mode", "season", "origin__area")
    list_select_related = ("origin", "destination")
    search_fields = ("origin__code", "origin__name", "destination__code", "destination__name")
    autocomplete_fields = ("origin", "destination")


@admin.register(Observation)
class ObservationAdmin(ReadOnlyAdmin):
    list_display = ("observed_on", "facility", "object_type", "object_key", "basis", "observer")
    list_filter = ("basis", "observer", "object_type", "observed_on")
    list_select_related = ("facility",)
    search_fields = ("object_key", "facility__code", "facility__name", "why")
