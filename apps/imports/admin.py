from django.contrib import admin

from apps.audit.admin import ReadOnlyAdmin
from apps.imports.models import (
    ColumnMapping,
    SiteIdentifier,
    UnmappedFile,
    Upload,
    Workbook,
)


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


@admin.register(SiteIdentifier)
class SiteIdentifierAdmin(ReadOnlyAdmin):
    list_display = ("facility", "system", "value")
    list_filter = ("system", "facility__area")
    list_select_related = ("facility",)
    search_fields = ("facility__code", "facility__name", "system", "value")


@admin.register(UnmappedFile)
class UnmappedFileAdmin(ReadOnlyAdmin):
    list_display = ("at", "file_name", "area", "by")
    list_filter = ("area", "at")
    list_select_related = ("area", "by")
    search_fields = ("file_name", "area__code", "by__username")


@admin.register(ColumnMapping)
class ColumnMappingAdmin(ReadOnlyAdmin):
    list_display = ("district", "table", "at", "by", "signature")
    list_filter = ("district", "table", "at")
    list_select_related = ("district", "by")
    search_fields = ("district__code", "district__name", "signature", "table")
