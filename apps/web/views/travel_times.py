"""The travel-time table of a district: looked at, downloaded, and loaded after a look."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.facilities.exports import travel_times_csv
from apps.facilities.selectors import travel_times_for
from apps.imports.services import LoadError, load_travel_times, preview_travel_times
from apps.web.forms.travel_times import UploadForm
from apps.web.views.access import permitted
from apps.web.views.files import CSV, attachment
from apps.web.views.scope import required_district

PAGE_SIZE = 100
SHOWN = 200


@permitted("register.view")
def travel_time_list(request: HttpRequest) -> HttpResponse:
    """The measured ways of the district, 100 a page, and a form to load more."""
    return _page(request, UploadForm())


@require_POST
@permitted("register.change")
def travel_time_upload(request: HttpRequest) -> HttpResponse:
    """Show what an upload would do; do it where that has been seen and confirmed."""
    district = required_district(request)
    form = UploadForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, status=422)
    content = form.cleaned_data["content"]
    if "apply" in request.POST:
        try:
            change = load_travel_times(content=content, district=district, by=request.user)
        except LoadError as refused:
            messages.error(request, str(refused))
        else:
            said = gettext("%(new)d travel times added, %(changed)d changed.")
            messages.success(
                request, said % {"new": change.created, "changed": len(change.changed)}
            )
            return redirect(f"{reverse('web:travel-time-list')}?district={district.code}")
    preview = preview_travel_times(content=content, district=district, user=request.user)
    values = {
        "district": district,
        "preview": preview,
        "rows": [row for row in preview.rows if row.does != "same"][:SHOWN],
        "problems": preview.problems[:SHOWN],
        "text": content.decode("utf-8-sig", errors="replace") if preview.can_be_applied else "",
    }
    return render(request, "web/travel_times/preview.html", values)


@permitted("register.view")
def travel_time_file(request: HttpRequest) -> HttpResponse:
    district = required_district(request)
    content = travel_times_csv(request.user, district)
    return attachment(content, f"travel-times-{district.code}.csv", CSV)


def _page(request: HttpRequest, form: UploadForm, status: int = 200) -> HttpResponse:
    district = required_district(request)
    times = travel_times_for(request.user).within(district.path)
    values: dict[str, Any] = {
        "district": district,
        "page": Paginator(times, PAGE_SIZE).get_page(request.GET.get("page")),
        "form": form if may(request.user, "register.change") else None,
    }
    return render(request, "web/travel_times/list.html", values, status=status)
