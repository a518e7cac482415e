"""What people at a site fill in: a page for each small form, usable without a connection."""

from pathlib import Path
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control

from apps.catalogue.choices import Cadre
from apps.catalogue.selectors import consumables, infrastructure, skills
from apps.facilities.selectors import facility_for
from apps.facilities.services import SITE_FACTS, change_site
from apps.inventory.selectors import (
    infrastructure_at,
    infrastructure_row,
    items_at,
    skill_row,
    skills_at,
    staff_at,
    staff_row,
    stock_at,
    stock_row,
)
from apps.inventory.services import count_skill, count_staff, count_stock, state_infrastructure
from apps.web.forms.entries import EntryForm
from apps.web.views.access import found, permitted
from apps.web.views.answering import Entry, answer

WORKER = Path(__file__).resolve().parent.parent / "static/web/entry-worker.js"


@permitted("register.change")
def entry_list(request: HttpRequest) -> HttpResponse:
    """What waits in this browser, what is kept where, and how to clear it."""
    return render(request, "web/entries/waiting.html")


@cache_control(no_cache=True)
def entry_worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps the entry pages for when there is no connection.

    It is served from here because a worker answers for its own folder only.
    """
    return HttpResponse(WORKER.read_text(encoding="utf-8"), content_type="text/javascript")


@permitted("register.change")
def entry_site(request: HttpRequest, code: str) -> HttpResponse:
    """The small forms of one site."""
    site = found(lambda: facility_for(request.user, code))
    staff = {row.cadre: row for row in staff_at(site)}
    held = {row.skill_id: row for row in skills_at(site)}
    shelf = {row.consumable_id: row for row in stock_at(site)}
    said = {row.infrastructure_id: row for row in infrastructure_at(site)}
    values: dict[str, Any] = {
        "site": site,
        "items": items_at(site),
        "cadres": [(code, name, staff.get(code)) for code, name in Cadre.choices],
        "skills": [(each, held.get(each.pk)) for each in skills()],
        "infrastructure": [(each, said.get(each.pk)) for each in infrastructure()],
        "shelf": [(each, shelf[each.pk]) for each in consumables() if each.pk in shelf],
        "others": [each for each in consumables() if each.pk not in shelf],
    }
    return render(request, "web/entries/site.html", values)


@permitted("register.change")
def entry_facts(request: HttpRequest, code: str) -> HttpResponse:
    """Power, water, cold, hours and connection of a site."""
    site = found(lambda: facility_for(request.user, code))

    def save(form: EntryForm) -> None:
        change_site(
            site=site, changes=form.changes(), seen=form.shown(), said=form.said(), by=request.user
        )

    form = EntryForm(request.POST or None, row=site, names=SITE_FACTS)
    return answer(request, Entry(_("What the site offers"), site, form, save, _back(site)))


@permitted("register.change")
def entry_staff(request: HttpRequest, code: str, cadre: str) -> HttpResponse:
    """How many of one cadre there are, and for how long they can test."""
    site = found(lambda: facility_for(request.user, code))
    if cadre.upper() not in Cadre.values:
        raise Http404
    row = staff_row(site, cadre.upper())

    def save(form: EntryForm) -> None:
        count_staff(
            facility=site, cadre=row.cadre, changes=form.changes(), seen=form.shown(),
            said=form.said(), by=request.user,
        )  # fmt: skip

    names = ("staff_count", "testing_hours_per_week")
    form = EntryForm(request.POST or None, row=row, names=names)
    hint = _("People are counted, never named. Leave the hours blank where nobody knows.")
    return answer(request, Entry(row.get_cadre_display(), site, form, save, _back(site), hint))


@permitted("register.change")
def entry_skill(request: HttpRequest, code: str, skill: str) -> HttpResponse:
    """How many hold one skill, when they were trained and supervised."""
    site = found(lambda: facility_for(request.user, code))
    row = found(lambda: skill_row(site, skill))

    def save(form: EntryForm) -> None:
        count_skill(
            facility=site, skill=row.skill, changes=form.changes(), seen=form.shown(),
            said=form.said(), by=request.user,
        )  # fmt: skip

    names = ("staff_count", "last_trained_on", "last_supervised_on")
    form = EntryForm(request.POST or None, row=row, names=names)
    return answer(request, Entry(row.skill.name, site, form, save, _back(site)))


@permitted("register.change")
def entry_infrastructure(request: HttpRequest, code: str, item: str) -> HttpResponse:
    """Whether one thing that tests need of a building is there."""
    site = found(lambda: facility_for(request.user, code))
    row = found(lambda: infrastructure_row(site, item))

    def save(form: EntryForm) -> None:
        state_infrastructure(
            facility=site, infrastructure=row.infrastructure, changes=form.changes(),
            seen=form.shown(), said=form.said(), by=request.user,
        )  # fmt: skip

    form = EntryForm(request.POST or None, row=row, names=("presence",))
    return answer(request, Entry(row.infrastructure.name, site, form, save, _back(site)))


@permitted("register.change")
def entry_stock(request: HttpRequest, code: str, item: str) -> HttpResponse:
    """For how many days one consumable lasts."""
    site = found(lambda: facility_for(request.user, code))
    row = found(lambda: stock_row(site, item))

    def save(form: EntryForm) -> None:
        count_stock(
            facility=site, consumable=row.consumable, changes=form.changes(), seen=form.shown(),
            said=form.said(), by=request.user,
        )  # fmt: skip

    form = EntryForm(request.POST or None, row=row, names=("days_of_stock", "expires_on"))
    hint = _("Days that what is on the shelf lasts at the usual use; 0: there is none.")
    return answer(request, Entry(row.consumable.name, site, form, save, _back(site), hint))


def _back(site: Any) -> str:
    return reverse("web:entry-site", args=[site.code])
