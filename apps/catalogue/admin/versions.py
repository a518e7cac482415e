from django.contrib import admin

from apps.audit.admin import ReadOnlyAdmin
from apps.catalogue import models


@admin.register(models.CatalogueVersion)
class CatalogueVersionAdmin(ReadOnlyAdmin):
    """Published on the pages; never changed."""

    list_display = ("number", "title", "published_at", "published_by", "sha256")
    list_filter = ("published_at",)
    list_select_related = ("published_by",)
    search_fields = ("title", "sha256")

    def get_queryset(self, request):
        return super().get_queryset(request).defer("content")
