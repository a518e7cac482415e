"""Small forms about one device: add it, say how it is, fill its file, move it, log a service."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from apps.catalogue.selectors import device_models
from apps.facilities.selectors import facilities_for, facility_for
from apps.inventory.selectors import item_for, new_item, new_service
from apps.inventory.services import FILE, add_item, change_item, log_service, move_item
from apps.web.forms.entries import AddItemForm, EntryForm, MoveForm, ServiceForm
from apps.web.views.access import found, permitted
from apps.web.views.answering import Entry, answer

NEW = ("serial_number", "condition", "reason", "received_on", "supplier", "location", "note")
STATE = ("condition", "reason", "note")
IN_FILE = ("serial_number", "received_on", *FILE)
SERVICE = ("kind", "cause", "parts", "days_down", "cost", "done_by", "next_due_on", "note")


@permitted("register.change")
def item_add(request: HttpRequest, code: str) -> HttpResponse:
    """A device of this site that the register does not hold yet."""
    site = found(lambda: facility_for(request.user, code))
    offered = device_models().prefetch_related(None).order_by("name")

    def save(form: EntryForm) -> None:
        add_item(
            facility=site,
            device_model=offered.get(code=form.cleaned_data["device_model"]),
            code=form.cleaned_data["code"],
            facts=form.changes(),
            said=form.said(),
            by=request.user,
        )

    form = AddItemForm(request.POST or None, row=new_item(site), names=NEW, models_offered=offered)
    back = reverse("web:entry-site", args=[site.code])
    return answer(request, Entry(_("Add a device"), site, form, save, back))


@permitted("register.change")
def item_condition(request: HttpRequest, code: str) -> HttpResponse:
    """How a device is today, and why: two facts."""
    item = found(lambda: item_for(request.user, code))
    form = EntryForm(request.POST or None, row=item, names=STATE)
    return answer(request, _about(item, form, _saving(request, item), _("How it is")))


@permitted("register.change")
def item_file(request: HttpRequest, code: str) -> HttpResponse:
    """What the equipment file of a device keeps."""
    item = found(lambda: item_for(request.user, code))
    form = EntryForm(request.POST or None, row=item, names=IN_FILE)
    hint = _("Leave blank what nobody knows. Write “none” where there is none.")
    return answer(request, _about(item, form, _saving(request, item), _("Its file"), hint))


@permitted("register.change")
def item_move(request: HttpRequest, code: str) -> HttpResponse:
    """A device went to another site, or to another room."""
    item = found(lambda: item_for(request.user, code))
    sites = facilities_for(request.user).order_by("name")

    def save(form: EntryForm) -> None:
        move_item(
            item=item_for(request.user, code),
            to=sites.get(code=form.cleaned_data["to"]),
            location=form.cleaned_data["location"],
            said=form.said(),
            by=request.user,
        )

    form = MoveForm(request.POST or None, row=item, names=("location",), sites=sites)
    hint = _("What was measured on it ends with a move to another site: verify it there.")
    return answer(request, _about(item, form, save, _("It was moved"), hint))


@permitted("register.change")
def item_service(request: HttpRequest, code: str) -> HttpResponse:
    """A line of the service log."""
    item = found(lambda: item_for(request.user, code))

    def save(form: EntryForm) -> None:
        log_service(item=item, said=form.said(), by=request.user, **form.changes())

    form = ServiceForm(request.POST or None, row=new_service(item), names=SERVICE)
    hint = _("A repair or a modification ends what was measured on it before.")
    return answer(request, _about(item, form, save, _("Service log"), hint))


def _saving(request: HttpRequest, item: Any) -> Any:
    def save(form: EntryForm) -> None:
        # The row of the form takes the values that are shown; what is compared is read anew.
        change_item(
            item=item_for(request.user, item.code),
            changes=form.changes(),
            seen=form.shown(),
            said=form.said(),
            by=request.user,
        )

    return save


def _about(item: Any, form: EntryForm, save: Any, words: str, hint: str = "") -> Entry:
    title = f"{item.device_model.name}, {item.code}: {words}"
    back = reverse("web:equipment-item", args=[item.code])
    return Entry(title, item.facility, form, save, back, hint)
