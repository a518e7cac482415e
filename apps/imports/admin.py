from django.contrib import admin

from apps.audit.admin import ReadOnlyAdmin
from apps.imports.models import Upload, Workbook


@admin.register(Workbook)
class WorkbookAdmin(ReadOnlyAdmin):
    list_display = ("at", "area", "facility", "by", "row_count", "key")
    list_filter = ("area", "at")
    list_select_related = ("area", "facility", "by")
    search_fields = ("key", "area__code", "area__name", "facility__code", "sha256")


@admin.register(Upload)
class UploadAdmin(ReadOnlyAdmin):
    list_display = ("at", "file_name", "kind", "state", "area", "by", "size_bytes")
    list_filter = ("kind", "state", "area", "at")
    list_select_related = ("area", "by")
    search_fields = ("file_name", "sha256", "area__code", "area__name", "by__username")
