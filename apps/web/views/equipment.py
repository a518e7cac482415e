"""The devices of a district: which there are, what each file says, what is due, what is odd."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from apps.accounts.rules import may
from apps.catalogue.selectors import device_classes
from apps.coverage.selectors.contradictions import reported_against_capable
from apps.facilities.selectors import district_of, observations_of
from apps.inventory.rules import FILE_FIELDS, completeness, is_stale
from apps.inventory.selectors import (
    contradictions,
    due_and_stale,
    dues_of,
    equipment_in,
    item_for,
    items_for,
    moves_of,
    service_log_of,
)
from apps.web.forms.equipment import EquipmentForm
from apps.web.registers import (
    EquipmentRow,
    due_words,
    equipment_rows,
    file_rows,
    label,
    stale_by_site,
)
from apps.web.views.access import found, permitted
from apps.web.views.scope import scope_of

PAGE_SIZE = 50
ON_THE_PAGE = ("condition", "location", "received_on")
HALF = 0.5
MOST_SHOWN = 50


@permitted("register.view")
def equipment_list(request: HttpRequest) -> HttpResponse:
    """Every device of a district, narrowed by class, condition, reason and what it wants."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/equipment/list.html", {"district": None})
    form = EquipmentForm(request.GET, classes=device_classes())
    asked = form.limits()
    today = timezone.localdate()
    rows = equipment_rows(
        dues_of(equipment_in(request.user, scope.district, **_narrow(asked))), today
    )
    rows = [row for row in rows if _fits(row, asked["needs"], today)]
    values: dict[str, Any] = {
        "district": scope.district,
        "total": equipment_in(request.user, scope.district).count(),
        "filters": form,
        "page": Paginator(rows, PAGE_SIZE).get_page(request.GET.get("page")),
    }
    return render(request, "web/equipment/list.html", values)


@permitted("register.view")
def equipment_item(request: HttpRequest, code: str) -> HttpResponse:
    """One device: its file, what is due on it, where it has been and what was done to it."""
    item = found(lambda: item_for(request.user, code))
    today = timezone.localdate()
    [(_, dues)] = dues_of(items_for(request.user).filter(pk=item.pk))
    values: dict[str, Any] = {
        "item": item,
        "currency": district_of(item.facility.area).currency,
        "completeness": completeness(item),
        "file": file_rows(item, [name for name in FILE_FIELDS if name not in ON_THE_PAGE]),
        "dues": [(each, due_words(each.days_over(today))) for each in dues],
        "stale": is_stale(item.observed_on, today),
        "moves": moves_of(item),
        "log": service_log_of(item),
        "observations": observations_of(item, item.facility),
        "may_change": may(request.user, "register.change"),
        "may_view_history": may(request.user, "history.view"),
    }
    return render(request, "web/equipment/item.html", values)


@permitted("register.view")
def equipment_due(request: HttpRequest) -> HttpResponse:
    """What is due and what nobody has seen for too long."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/equipment/due.html", {"district": None})
    shown = due_and_stale(request.user, scope.district, timezone.localdate())
    values: dict[str, Any] = {
        "district": scope.district,
        "page": Paginator(
            [(each, due_words(each.days_over)) for each in shown.due], PAGE_SIZE
        ).get_page(request.GET.get("page")),
        "over": sum(1 for each in shown.due if (each.days_over or 0) > 0),
        "unknown": shown.unknown,
        "stale": stale_by_site(shown.stale),
        "refreshers": shown.refreshers,
    }
    return render(request, "web/equipment/due.html", values)


@permitted("register.view")
def equipment_contradictions(request: HttpRequest) -> HttpResponse:
    """Facts that cannot both be true."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/equipment/contradictions.html", {"district": None})
    shown = contradictions(request.user, scope.district)
    reported = reported_against_capable(request.user, scope.district)
    phantom = [each for each in reported if each.phantom]
    idle = [each for each in reported if not each.phantom]
    values: dict[str, Any] = {
        "district": scope.district,
        "serials": shown.serials,
        "dates": [_in_words(each) for each in shown.dates],
        "phantom": phantom,
        "phantom_more": max(0, len(phantom) - MOST_SHOWN),
        "idle": idle,
        "idle_more": max(0, len(idle) - MOST_SHOWN),
        "most_shown": f":{MOST_SHOWN}",
    }
    return render(request, "web/equipment/contradictions.html", values)


def _in_words(each: Any) -> tuple[Any, str, Any, str, Any]:
    """The item, then each day with its name; the first is blank for a day to come."""
    earlier = getattr(each.item, each.earlier) if each.earlier else None
    return (
        each.item, label(each.earlier) if each.earlier else "", earlier,
        label(each.later), getattr(each.item, each.later),
    )  # fmt: skip


def _narrow(asked: dict[str, str]) -> dict[str, str]:
    return {name: asked[name] for name in ("device_class", "condition", "reason", "text")}


def _fits(row: EquipmentRow, needs: str, today: Any) -> bool:
    match needs:
        case "due":
            return bool(row.due) and row.is_near
        case "stale":
            return is_stale(row.item.observed_on, today)
        case "file":
            return row.known <= HALF * row.of
    return True
