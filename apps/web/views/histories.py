"""What was changed, by whom, when, from what to what, and why."""

from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from apps.accounts.rules import may
from apps.audit.exports import history_csv
from apps.audit.selectors import chain_state, entries_for
from apps.web.forms.histories import HistoryFilter
from apps.web.histories import history_rows, kind_name
from apps.web.views.access import permitted
from apps.web.views.files import CSV, attachment

PAGE_SIZE = 50
MOST_IN_A_FILE = 50_000


@permitted("history.view")
def history_list(request: HttpRequest) -> HttpResponse:
    """The history within reach, the newest first, narrowed by day, person and thing."""
    filters = _filters(request)
    page = Paginator(filters.qs, PAGE_SIZE).get_page(request.GET.get("page"))
    values: dict[str, Any] = {
        "filters": filters.form,
        "page": page,
        "rows": history_rows(page),
        "query": request.GET.urlencode(),
    }
    return render(request, "web/histories/list.html", values)


@permitted("history.view")
def history_detail(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """What happened to one object, the newest first."""
    entries = _visible(request).about(kind, key)
    page = Paginator(entries, PAGE_SIZE).get_page(request.GET.get("page"))
    if not page.object_list:
        raise Http404
    values = {"name": kind_name(kind), "key": key, "page": page, "rows": history_rows(page)}
    return render(request, "web/histories/detail.html", values)


@permitted("history.view")
def history_file(request: HttpRequest) -> HttpResponse:
    """The same entries as CSV, the newest ``MOST_IN_A_FILE`` of them."""
    entries = _filters(request).qs[:MOST_IN_A_FILE]
    return attachment(history_csv(entries.iterator(chunk_size=2000)), "history.csv", CSV)


@permitted("history.view")
def history_chain(request: HttpRequest) -> HttpResponse:
    """Whether every entry still follows from the one before it."""
    return render(request, "web/histories/chain.html", {"chain": chain_state()})


def _filters(request: HttpRequest) -> HistoryFilter:
    visible = _visible(request)
    kinds = visible.order_by("object_type").values_list("object_type", flat=True).distinct()
    return HistoryFilter(
        request.GET, queryset=visible, kinds=[(kind, kind_name(kind)) for kind in kinds]
    )


def _visible(request: HttpRequest) -> QuerySet:
    return entries_for(request.user, people=may(request.user, "people.view"))
