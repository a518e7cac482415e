from django.contrib import admin

from apps.audit.admin import RecordedAdmin
from apps.demand.models import Demand


@admin.register(Demand)
class DemandAdmin(RecordedAdmin):
    list_display = ("facility", "test", "tests_per_year", "basis", "year")
    list_filter = ("basis", "year", "test__programme", "facility__area")
    list_select_related = ("facility", "test")
    search_fields = ("facility__code", "facility__name", "test__code", "test__name")
    autocomplete_fields = ("facility", "test")
