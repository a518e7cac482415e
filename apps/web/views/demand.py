"""How much is asked for: three estimates, what does not fit, and adopting one of them."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.catalogue.selectors import programmes
from apps.demand.exports import estimates_csv
from apps.demand.selectors import (
    adoption_of,
    adoption_to_take_back,
    estimates_in,
)
from apps.demand.services import adopt, restore
from apps.facilities.selectors import areas_with_sites
from apps.web.estimates import adoption_lines, lines_of, summary
from apps.web.forms.demand import DemandForm
from apps.web.views.access import permitted
from apps.web.views.files import CSV, attachment
from apps.web.views.scope import required_district, scope_of

PAGE_SIZE = 50
FILTERS = ("district", "site", "test", "basis", "block", "programme", "show")


@permitted("register.view")
def demand_list(request: HttpRequest) -> HttpResponse:
    """The estimates of a district, first those that do not fit, 50 a page."""
    scope = scope_of(request)
    if scope.district is None:
        return render(request, "web/demand/list.html", {"district": None})
    every = estimates_in(request.user, scope.district)
    form = _form(request, request.GET, scope.district)
    chosen = form.narrow(every)
    allowed = may(request.user, "demand.adopt")
    values: dict[str, Any] = {
        "district": scope.district,
        "summary": summary(every),
        "filters": form,
        "page": Paginator(lines_of(chosen), PAGE_SIZE).get_page(request.GET.get("page")),
        "selection": _selection(request.GET),
        "changes": len(adoption_of(form.to_adopt(every)).rows),
        "left_out": sum(each.disagrees for each in chosen),
        "may_adopt": allowed,
        "take_back": adoption_to_take_back(scope.district) if allowed else None,
        "assumptions": every[0].assumptions if every else None,
        "first_column": gettext("Site and test"),
    }
    return render(request, "web/demand/list.html", values)


@permitted("demand.adopt")
def demand_adopt(request: HttpRequest) -> HttpResponse:
    """What adopting the selected estimates would change; with a confirmation it is done."""
    district = required_district(request)
    asked = request.POST if request.method == "POST" else request.GET
    form = _form(request, asked, district)
    chosen = form.to_adopt(estimates_in(request.user, district))
    back = f"{reverse('web:demand-list')}?{_selection(asked)}"
    if request.method == "POST":
        try:
            adoption = adopt(
                district=district,
                estimates=chosen,
                by=request.user,
                seen=asked.get("seen", ""),
                basis=form.chosen_basis,
                why=asked.get("why", "")[:300],
            )
        except ValidationError as refused:
            messages.error(request, " ".join(refused.messages))
            return redirect(f"{reverse('web:demand-adopt')}?{_selection(asked)}")
        messages.success(request, _adopted(len(adoption.rows)))
        return redirect(back)
    adoption = adoption_of(chosen, form.chosen_basis)
    values = {
        "district": district,
        "adoption": adoption,
        "lines": adoption_lines(adoption, chosen),
        "hidden": [(name, asked.get(name, "")) for name in FILTERS],
        "back": back,
    }
    return render(request, "web/demand/adopt.html", values)


@require_POST
@permitted("demand.adopt")
def demand_restore(request: HttpRequest) -> HttpResponse:
    """Take back the latest adoption in the district."""
    district = required_district(request)
    try:
        rows = restore(district=district, by=request.user)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        messages.success(
            request,
            ngettext(
                "Taken back: %(n)d figure is as it was before.",
                "Taken back: %(n)d figures are as they were before.",
                rows,
            )
            % {"n": rows},
        )
    return redirect(f"{reverse('web:demand-list')}?district={district.code}")


@permitted("register.view")
def demand_csv(request: HttpRequest) -> HttpResponse:
    district = required_district(request)
    content = estimates_csv(estimates_in(request.user, district))
    return attachment(content, f"demand-{district.code}.csv", CSV)


def _form(request: HttpRequest, asked: Any, district: Any) -> DemandForm:
    blocks = areas_with_sites(request.user, district)
    return DemandForm(asked, blocks=blocks, programmes=programmes())


def _selection(asked: Any) -> str:
    return urlencode({name: asked[name] for name in FILTERS if asked.get(name)})


def _adopted(count: int) -> str:
    return ngettext(
        "%(n)d figure adopted. Work out coverage again for it to count there.",
        "%(n)d figures adopted. Work out coverage again for them to count there.",
        count,
    ) % {"n": count}
