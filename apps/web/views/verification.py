"""Can a device be trusted? What was measured on it, and how to write down that it was."""

from collections import Counter
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.inventory.adapters import sets_for
from apps.inventory.choices import Standing
from apps.inventory.exports import readings_csv
from apps.inventory.rules import standing, standing_of
from apps.inventory.selectors import (
    item_for,
    standings,
    verification_for,
    verifications_of,
)
from apps.inventory.services import (
    end_verifications,
    record_verification,
    withdraw_verification,
)
from apps.web.forms.verifications import ChangeForm, RecordForm, StandingForm, WithdrawForm
from apps.web.verification_options import MARK_OF, Option, options
from apps.web.verifications import Answer
from apps.web.views.access import found, permitted
from apps.web.views.files import CSV, attachment
from apps.web.views.scope import scope_of
from planner.engine.errors import InputError

PAGE_SIZE = 50


@permitted("register.view")
def verification_list(request: HttpRequest) -> HttpResponse:
    """The devices of a district that have limits to keep, those that need somebody first."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/verification/list.html", {"district": None})
    rows = standings(request.user, scope.district, timezone.localdate())
    counts = Counter(row.standing for row in rows)
    form = StandingForm(request.GET)
    shown = [(row, MARK_OF[row.standing]) for row in rows if form.fits(row)]
    values: dict[str, Any] = {
        "district": scope.district,
        "counts": [(each, MARK_OF[each], counts[each]) for each in Standing if counts[each]],
        "total": len(rows),
        "filters": form,
        "page": Paginator(shown, PAGE_SIZE).get_page(request.GET.get("page")),
        "may_view_plans": may(request.user, "plan.view"),
    }
    return render(request, "web/verification/list.html", values)


@permitted("register.view")
def verification_item(request: HttpRequest, code: str) -> HttpResponse:
    """One device: what was measured on it, what it is worth today, what could be verified."""
    item = found(lambda: item_for(request.user, code))
    return render(request, "web/verification/item.html", _item_page(request, item, ChangeForm()))


@require_POST
@permitted("verification.record")
def verification_end(request: HttpRequest, code: str) -> HttpResponse:
    """The device was repaired, broke or was altered: what was measured before ends."""
    item = found(lambda: item_for(request.user, code))
    form = ChangeForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        try:
            count = end_verifications(
                item=item, ending=given["ending"], on=given["changed_on"], by=request.user
            )
        except ValidationError as refused:
            form.add_error("changed_on", refused.messages)
        else:
            said = ngettext("%(n)d verification ended.", "%(n)d verifications ended.", count)
            messages.success(request, said % {"n": count})
            return redirect("web:verification-item", item.code)
    return render(request, "web/verification/item.html", _item_page(request, item, form))


@permitted("verification.record")
def verification_record(request: HttpRequest, code: str) -> HttpResponse:
    """Choose what is verified, then write the readings down; the answer comes at once."""
    item = found(lambda: item_for(request.user, code))
    choices = options(sets_for(item.device_model))
    if "what" not in request.GET:
        return render(request, "web/verification/choose.html", {"item": item, "options": choices})
    option = _chosen(choices, request.GET["what"])
    form = RecordForm(
        request.POST or None,
        request.FILES or None,
        kind=option.kind,
        columns=option.columns,
        unit=option.unit,
    )
    if form.is_bound and form.is_valid():
        try:
            made = record_verification(
                item=item,
                kind=option.kind,
                readings=form.parsed,
                limits=option.limits,
                analyte=option.analyte,
                by=request.user,
                **form.facts(),
            )
        except InputError as refused:
            form.add_error("readings", list(refused.problems))
        except ValidationError as refused:
            form.refuse(refused)
        else:
            return redirect("web:verification-detail", made.code)
    return render(
        request, "web/verification/record.html", {"item": item, "option": option, "form": form}
    )


@permitted("register.view")
def verification_sheet(request: HttpRequest, code: str) -> HttpResponse:
    """A blank sheet to be printed and filled in at the bench."""
    item = found(lambda: item_for(request.user, code))
    option = _chosen(options(sets_for(item.device_model)), request.GET.get("what", ""))
    lines = range(1, min(max(option.samples, 20), 60) + 1)
    return render(
        request, "web/verification/sheet.html", {"item": item, "option": option, "lines": lines}
    )


@permitted("register.view")
def verification_detail(request: HttpRequest, code: str) -> HttpResponse:
    """One verification: limits, figures, readings, a drawing, and what they come to."""
    made = found(lambda: verification_for(request.user, code))
    return render(
        request, "web/verification/detail.html", _detail_page(request, made, WithdrawForm())
    )


@require_POST
@permitted("verification.record")
def verification_withdraw(request: HttpRequest, code: str) -> HttpResponse:
    """Say that a verification should not count, and why."""
    made = found(lambda: verification_for(request.user, code))
    form = WithdrawForm(request.POST)
    if form.is_valid():
        try:
            withdraw_verification(verification=made, why=form.cleaned_data["why"], by=request.user)
        except ValidationError as refused:
            form.add_error("why", refused.messages)
        else:
            messages.success(request, gettext("Withdrawn; it stays to be seen."))
            return redirect("web:verification-detail", made.code)
    return render(request, "web/verification/detail.html", _detail_page(request, made, form))


@permitted("register.view")
def verification_readings(request: HttpRequest, code: str) -> HttpResponse:
    """The readings of one verification as a file that the form reads again."""
    made = found(lambda: verification_for(request.user, code))
    return attachment(readings_csv(made), f"{made.code}.csv", CSV)


def _chosen(choices: list[Option], key: str) -> Option:
    for option in choices:
        if option.key == key:
            return option
    raise Http404


def _item_page(request: HttpRequest, item: Any, form: ChangeForm) -> dict[str, Any]:
    today = timezone.localdate()
    verifications = list(verifications_of(item))
    worth = standing_of(reversed(verifications), item, today)
    rows = [(each, standing(each, item, today)) for each in verifications]
    return {
        "item": item,
        "standing": worth,
        "mark": MARK_OF[worth],
        "rows": [(each, worth, MARK_OF[worth]) for each, worth in rows],
        "options": options(sets_for(item.device_model)),
        "form": form,
        "may_record": may(request.user, "verification.record"),
    }


def _detail_page(request: HttpRequest, made: Any, form: WithdrawForm) -> dict[str, Any]:
    worth = standing(made, made.item, timezone.localdate())
    return {
        "verification": made,
        "item": made.item,
        "standing": worth,
        "mark": MARK_OF[worth],
        "checks": [(check, MARK_OF[check["outcome"]]) for check in made.figures["checks"]],
        "answer": Answer.of(made),
        "option": Option.of(made),
        "form": form,
        "may_record": may(request.user, "verification.record"),
    }
