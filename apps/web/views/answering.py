"""One small form of the register: shown, kept, refused, or held against what others wrote.

A script asks for JSON and gets the same answer as a page would give: 200 kept, 409 changed by
somebody else meanwhile, 422 cannot be.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from apps.facilities.services import Conflict, ConflictError
from apps.web.forms.entries import EntryForm, text_of
from apps.web.registers import in_words, label


@dataclass(frozen=True)
class Entry:
    """A form with its words. ``save`` writes what it says; ``back``: where to go from it."""

    title: str
    site: Any
    form: EntryForm
    save: Callable[[EntryForm], Any]
    back: str
    hint: str = ""


@dataclass(frozen=True)
class Disputed:
    """One field in conflict, each value in words."""

    name: str
    label: str
    seen: Any
    theirs: Any
    yours: Any
    by: str
    at: Any


def answer(request: HttpRequest, entry: Entry) -> HttpResponse:
    """The form, or what became of what was sent with it."""
    form = entry.form
    if not form.is_bound:
        return _page(request, entry)
    if form.is_valid():
        try:
            entry.save(form)
        except ConflictError as conflict:
            return _conflict(request, entry, conflict)
        except ValidationError as refused:
            form.refuse(refused)
        else:
            return _kept(request, entry)
    if _wants_json(request):
        return JsonResponse({"errors": form.errors}, status=422)
    return _page(request, entry, status=422)


def _wants_json(request: HttpRequest) -> bool:
    return request.headers.get("Accept", "").startswith("application/json")


def _kept(request: HttpRequest, entry: Entry) -> HttpResponse:
    # Of entries that waited the script says how many were sent; the next page need not.
    if not _wants_json(request) or "Entry-Now" in request.headers:
        messages.success(request, gettext("Kept: %(title)s.") % {"title": entry.title})
    if _wants_json(request):
        return JsonResponse({"kept": True, "where": entry.back})
    return redirect(entry.back)


def _page(request: HttpRequest, entry: Entry, status: int = 200) -> HttpResponse:
    return render(request, "web/entries/form.html", {"entry": entry}, status=status)


def _conflict(request: HttpRequest, entry: Entry, conflict: ConflictError) -> HttpResponse:
    disputed = [_disputed(entry.form, each) for each in conflict.conflicts]
    if _wants_json(request):
        body = [
            {
                "name": each.name,
                "label": str(each.label),
                "seen": str(each.seen),
                "theirs": str(each.theirs),
                "yours": str(each.yours),
                "now": text_of(now.theirs),
            }
            for each, now in zip(disputed, conflict.conflicts, strict=True)
        ]
        return JsonResponse({"conflicts": body}, status=409)
    # What was shown is now their value, so that choosing mine is no conflict any more.
    shown = {name: text_of(value) for name, value in entry.form.shown().items()}
    shown |= {each.field: text_of(each.theirs) for each in conflict.conflicts}
    sent = [
        (name, value)
        for name, value in entry.form.data.items()
        if name not in ("seen", "csrfmiddlewaretoken") and not name.startswith("use_")
    ]
    values = {"entry": entry, "disputed": disputed, "sent": sent, "seen": json.dumps(shown)}
    return render(request, "web/entries/conflict.html", values, status=409)


def _disputed(form: EntryForm, each: Conflict) -> Disputed:
    def words(value: Any) -> Any:
        setattr(form.row, each.field, value)
        return in_words(form.row, each.field)

    return Disputed(
        each.field, label(each.field), words(each.seen), words(each.theirs), words(each.yours),
        each.by, each.at,
    )  # fmt: skip
