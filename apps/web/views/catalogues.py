"""Versions of the catalogue: published, and held against each other."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.catalogue.adapters import snapshot
from apps.catalogue.exports import differences_csv
from apps.catalogue.selectors import differences, tests, version, versions
from apps.catalogue.services import NothingNewError
from apps.coverage.services import publish_catalogue, site_changes
from apps.facilities.selectors import facilities_for
from apps.web.comparisons import by_site, compared
from apps.web.forms.catalogues import CompareForm, PublishForm
from apps.web.views.access import found, permitted
from apps.web.views.files import CSV, attachment
from apps.web.views.scope import scope_of
from planner.engine.errors import EngineError

AS_IT_STANDS = "now"


@permitted("register.view")
def version_list(request: HttpRequest) -> HttpResponse:
    """The published versions, and what changed since the latest one."""
    published = list(versions())
    values = {
        "versions": published,
        "compare": CompareForm(versions=published),
        "publish": PublishForm() if may(request.user, "catalogue.publish") else None,
    }
    return render(request, "web/catalogues/list.html", values)


@require_POST
@permitted("catalogue.publish")
def version_publish(request: HttpRequest) -> HttpResponse:
    """Publish the catalogue as it stands."""
    form = PublishForm(request.POST)
    if not form.is_valid():
        published = list(versions())
        values = {"versions": published, "compare": CompareForm(versions=published)}
        return render(request, "web/catalogues/list.html", {**values, "publish": form}, status=422)
    try:
        made = publish_catalogue(title=form.cleaned_data["title"], by=request.user)
    except NothingNewError as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, gettext("Published as version %(n)d.") % {"n": made.number})
    return redirect("web:version-list")


@permitted("register.view")
def version_compare(request: HttpRequest) -> HttpResponse:
    """What changed between two versions, and at which sites of the district it matters."""
    before, after = _values(request, "before"), _values(request, "after")
    published = list(versions())
    values: dict[str, Any] = {
        "form": CompareForm(request.GET, versions=published),
        "tables": compared(differences(before["tables"], after["tables"])),
        "query": request.GET.urlencode(),
    }
    district = scope_of(request).district
    if district is not None and values["tables"]:
        values |= {"district": district, **_sites(request, district, before, after)}
    return render(request, "web/catalogues/compare.html", values)


@permitted("register.view")
def version_differences_file(request: HttpRequest) -> HttpResponse:
    """Every changed field of the two versions as CSV."""
    before, after = (_values(request, name)["tables"] for name in ("before", "after"))
    return attachment(differences_csv(before, after), "catalogue-changes.csv", CSV)


def _sites(request: HttpRequest, district: Any, before: Any, after: Any) -> dict[str, Any]:
    try:
        changes = site_changes(district, before=before["planning"], after=after["planning"])
    except EngineError as refused:
        return {"not_compared": str(refused)}
    visible = facilities_for(request.user).within(district.path)
    names = dict(visible.values_list("code", "name"))
    seen = [change for change in changes if change.site in names]
    return {"sites": by_site(seen, names, dict(tests().values_list("code", "name")))}


def _values(request: HttpRequest, side: str) -> dict[str, Any]:
    """The catalogue that ``side`` of the address names, as a version keeps it."""
    asked = request.GET.get(side, AS_IT_STANDS)
    if asked == AS_IT_STANDS:
        return {"tables": snapshot(), "planning": None}
    if not asked.isdecimal():
        raise Http404
    return found(lambda: version(int(asked))).values
