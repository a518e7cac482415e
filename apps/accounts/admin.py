from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.models import Group
from django.db import transaction
from django.forms import ModelForm
from django.http import HttpRequest

from apps.accounts.choices import Role
from apps.accounts.models import Invitation, User
from apps.audit.admin import ReadOnlyAdmin, RecordedAdmin
from apps.audit.services import record

# Roles say who may do what; groups would be a second, silent answer to the same question.
admin.site.unregister(Group)


@admin.register(User)
class PersonAdmin(RecordedAdmin, UserAdmin):
    list_display = ("username", "first_name", "last_name", "role", "is_active", "last_login")
    list_filter = ("role", "is_active")
    search_fields = ("username", "first_name", "last_name", "email")
    filter_horizontal = ()
    readonly_fields = ("last_login", "date_joined")
    fieldsets = (
        (None, {"fields": ("username", "password")}),
        ("Person", {"fields": ("first_name", "last_name", "email")}),
        ("Access", {"fields": ("role", "is_active")}),
        ("Dates", {"fields": ("last_login", "date_joined")}),
    )
    add_fieldsets = (
        (None, {"fields": ("username", "role", "usable_password", "password1", "password2")}),
    )

    def save_model(self, request: HttpRequest, obj: User, form: ModelForm, change: bool) -> None:
        obj.is_staff = obj.is_superuser = obj.role == Role.ADMINISTRATOR
        super().save_model(request, obj, form, change)

    @transaction.atomic
    def user_change_password(self, request: HttpRequest, id: str, form_url: str = "") -> Any:
        before = User.objects.filter(pk=id).values_list("password", flat=True).first()
        answer = super().user_change_password(request, id, form_url)
        user = User.objects.filter(pk=id).first()
        if user and user.password != before:
            record("password.set", by=request.user, obj=user)
        return answer


@admin.register(Invitation)
class InvitationAdmin(ReadOnlyAdmin):
    """Made, accepted and withdrawn on the pages, where their links are shown once."""

    list_display = ("person", "role", "made_by", "made_at", "expires_at", "accepted_by")
    list_filter = ("role", "made_at")
    list_select_related = ("made_by", "accepted_by")
    search_fields = ("person", "made_by__username", "accepted_by__username")
