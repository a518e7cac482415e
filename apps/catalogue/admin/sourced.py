from apps.audit.admin import RecordedAdmin

NAMED = ("code", "name")


class SourcedAdmin(RecordedAdmin):
    """Facts that carry their source."""

    list_filter = ("source_kind",)
    list_select_related = ("source",)
    search_fields = NAMED
    autocomplete_fields = ("source",)
