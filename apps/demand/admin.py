from django.contrib import admin

from apps.audit.admin import RecordedAdmin
from apps.demand.models import (
    ConsumptionRecord,
    Demand,
    ExpectedPrevalence,
    MorbidityRate,
    ServiceStatistic,
)


class FacilityRowAdmin(RecordedAdmin):
    list_select_related = ("facility", "test")
    search_fields = ("facility__code", "facility__name", "test__code", "test__name")
    autocomplete_fields = ("facility", "test")


@admin.register(Demand)
class DemandAdmin(FacilityRowAdmin):
    list_display = ("facility", "test", "tests_per_year", "basis", "year")
    list_filter = ("basis", "year", "test__programme", "facility__area")


@admin.register(ServiceStatistic)
class ServiceStatisticAdmin(FacilityRowAdmin):
    list_display = (
        "facility", "test", "year", "recorded_tests", "completeness_share", "days_without",
    )  # fmt: skip
    list_filter = ("origin", "year", "test__programme", "facility__area")


@admin.register(ConsumptionRecord)
class ConsumptionRecordAdmin(FacilityRowAdmin):
    list_display = (
        "facility", "test", "year", "consumable", "units_used", "tests_per_unit",
    )  # fmt: skip
    list_filter = ("origin", "year", "test__programme", "facility__area")


@admin.register(MorbidityRate)
class MorbidityRateAdmin(RecordedAdmin):
    list_display = (
        "code", "test", "level", "area", "episodes_per_person_year", "source_kind",
    )  # fmt: skip
    list_filter = ("source_kind", "level", "test__programme")
    list_select_related = ("test", "area")
    search_fields = ("code", "test__code", "test__name")
    autocomplete_fields = ("test", "area", "source")


@admin.register(ExpectedPrevalence)
class ExpectedPrevalenceAdmin(RecordedAdmin):
    list_display = ("code", "test", "area", "facility", "share", "source_kind")
    list_filter = ("source_kind", "test__programme")
    list_select_related = ("test", "area", "facility")
    search_fields = ("code", "test__code", "test__name", "facility__code")
    autocomplete_fields = ("test", "area", "facility", "source")
