from django.contrib import admin

from apps.audit.admin import ReadOnlyAdmin
from apps.coverage.models import Assessment, Document, Finding, SiteWorkload


@admin.register(Document)
class DocumentAdmin(ReadOnlyAdmin):
    list_display = ("sha256", "kept_at")
    list_filter = ("kept_at",)
    search_fields = ("sha256",)
    fields = ("sha256", "kept_at")

    def get_queryset(self, request):
        """Without the content, which is large and says nothing on a page."""
        return super().get_queryset(request).defer("content")


@admin.register(Assessment)
class AssessmentAdmin(ReadOnlyAdmin):
    list_display = ("area", "made_at", "made_by", "case_id", "engine_version")
    list_filter = ("area", "made_at")
    list_select_related = ("area", "made_by")
    search_fields = ("area__code", "area__name", "case__sha256")


@admin.register(Finding)
class FindingAdmin(ReadOnlyAdmin):
    list_display = ("facility", "test", "state", "method_code", "referred_to", "fix_cost")
    list_filter = ("state", "test__programme", "assessment__area")
    list_select_related = ("facility", "test", "referred_to")
    search_fields = ("facility__code", "facility__name", "test__code", "test__name")


@admin.register(SiteWorkload)
class SiteWorkloadAdmin(ReadOnlyAdmin):
    list_display = (
        "facility", "asked", "doable", "staff_needed_hours", "staff_available_hours", "binding",
    )  # fmt: skip
    list_filter = ("binding", "assessment__area")
    list_select_related = ("facility",)
    search_fields = ("facility__code", "facility__name")
