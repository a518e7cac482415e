"""The trail, read-only; and what the administration pages of all other apps have in common."""

from collections.abc import Iterable
from typing import Any

from django.contrib import admin
from django.db import transaction
from django.db.models import Model, QuerySet
from django.forms import ModelForm
from django.http import HttpRequest

from apps.audit.models import Entry
from apps.audit.services import record

SECRET_FIELDS = frozenset({"password", "password1", "password2", "usable_password"})


class RecordedAdmin(admin.ModelAdmin):
    """Whatever is added, changed or removed on these pages is in the audit trail.

    Only administrators remove anything.
    """

    list_per_page = 50
    show_full_result_count = False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return request.user.is_active and request.user.is_superuser

    def save_related(self, request: HttpRequest, form: ModelForm, formsets: Any, change: bool):
        """After the row and its many-to-many fields are saved, in the same transaction."""
        super().save_related(request, form, formsets, change)
        names = [name for name in form.changed_data if name not in SECRET_FIELDS]
        after = {name: _plain(form.cleaned_data[name]) for name in names}
        before = {name: _plain(form.initial.get(name)) for name in names} if change else None
        self._record("changed" if change else "added", request, form.instance, before, after)

    def delete_model(self, request: HttpRequest, obj: Model) -> None:
        with transaction.atomic():
            self._record("removed", request, obj, _values(obj), None)
            super().delete_model(request, obj)

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet) -> None:
        with transaction.atomic():
            for obj in queryset:
                self._record("removed", request, obj, _values(obj), None)
            super().delete_queryset(request, queryset)

    def _record(
        self,
        done: str,
        request: HttpRequest,
        obj: Model,
        before: dict[str, Any] | None,
        after: dict[str, Any] | None,
    ) -> None:
        action = f"{self.opts.model_name}.{done}"
        record(action, by=request.user, obj=obj, before=before, after=after)


class ReadOnlyAdmin(admin.ModelAdmin):
    """Rows that the service works out: to be looked at, never typed."""

    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


@admin.register(Entry)
class EntryAdmin(ReadOnlyAdmin):
    list_display = ("at", "by", "action", "object_type", "object_key", "why")
    list_filter = ("action", "object_type", "at")
    list_select_related = ("by",)
    search_fields = ("object_key", "why", "by__username")
    date_hierarchy = "at"


def _plain(value: Any) -> Any:
    """A value of a form as plain JSON; rows by their codes."""
    if isinstance(value, Model):
        return getattr(value, "code", None) or value.pk
    if isinstance(value, Iterable) and not isinstance(value, str | dict):
        return [_plain(part) for part in value]
    return value


def _values(obj: Model) -> dict[str, Any]:
    return {
        field.name: field.value_from_object(obj)
        for field in obj._meta.concrete_fields
        if field.name not in SECRET_FIELDS
    }
