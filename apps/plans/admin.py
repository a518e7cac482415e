from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from apps.audit.admin import RecordedAdmin
from apps.plans.models import Earmark, Floor, Line, Plan, ReviewNote, Run, Step


class AnsweredAdmin(RecordedAdmin):
    """A plan is a question that was asked; to change it would falsify its answers.

    An administrator may remove one, with its answers.
    """

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


class PartAdmin(AnsweredAdmin):
    """Part of a plan or of a run, which goes with it and not by itself."""

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        page = request.resolver_match.url_name
        of_whole = page.startswith(("plans_plan_", "plans_run_"))
        return of_whole and super().has_delete_permission(request, obj)


@admin.register(Plan)
class PlanAdmin(AnsweredAdmin):
    list_display = ("title", "area", "capital", "recurrent", "made_by", "made_at")
    list_filter = ("area", "minimum_evidence", "made_at")
    list_select_related = ("area", "made_by")
    search_fields = ("title", "area__code", "area__name", "made_by__username")


@admin.register(Earmark)
class EarmarkAdmin(PartAdmin):
    list_display = ("plan", "programme", "amount")
    list_filter = ("programme",)
    list_select_related = ("plan", "programme")
    search_fields = ("plan__title", "programme__code", "programme__name")


@admin.register(Floor)
class FloorAdmin(PartAdmin):
    list_display = ("plan", "area", "share")
    list_filter = ("area",)
    list_select_related = ("plan", "area")
    search_fields = ("plan__title", "area__code", "area__name")


@admin.register(Run)
class RunAdmin(AnsweredAdmin):
    list_display = ("plan", "state", "status", "asked_by", "asked_at", "finished_at", "gap")
    list_filter = ("state", "status", "asked_at")
    list_select_related = ("plan", "asked_by")
    search_fields = ("plan__title", "asked_by__username", "case__sha256", "result__sha256")


@admin.register(Step)
class StepAdmin(PartAdmin):
    """Taken on the pages, where nobody decides on their own proposal."""

    list_display = ("plan", "kind", "by", "at")
    list_filter = ("kind", "at")
    list_select_related = ("plan", "by")
    search_fields = ("plan__title", "by__username", "why")


@admin.register(ReviewNote)
class ReviewNoteAdmin(PartAdmin):
    list_display = ("plan", "by", "at", "text", "closed_by")
    list_filter = ("at", "closed_at")
    list_select_related = ("plan", "by", "closed_by")
    search_fields = ("plan__title", "by__username", "text")


@admin.register(Line)
class LineAdmin(PartAdmin):
    list_display = ("facility", "kind", "item_name", "quantity", "cost", "run")
    list_filter = ("kind", "run__plan__area")
    list_select_related = ("facility", "run__plan")
    search_fields = ("facility__code", "facility__name", "item_code", "item_name")
