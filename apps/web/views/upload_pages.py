"""One upload: what it would change, what is chosen of it, what became of it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from apps.imports.adapters.tables import TABLES
from apps.imports.choices import UNFINISHED, UploadState, Verdict
from apps.imports.selectors import proposals_of, upload_for
from apps.imports.services import (
    apply_upload,
    cancel_upload,
    choose_from_upload,
    mark_uploads_interrupted,
    read_again,
    undo_upload,
)
from apps.web.forms.uploads import PickForm
from apps.web.uploads import fault_views, outcome_rows, row_views, sheet_counts, total
from apps.web.views.access import found, permitted

ROWS_A_PAGE = 50
SHOWN_AT_ONCE = 10


@permitted("register.change")
def upload_detail(request: HttpRequest, upload_id: int) -> HttpResponse:
    """One upload: how far it is, what it would change, or what it changed."""
    mark_uploads_interrupted()
    upload = _upload(request, upload_id)
    sheets = sheet_counts(upload)
    values: dict[str, Any] = {
        "upload": upload,
        "unfinished": upload.state in UNFINISHED,
        "sheets": sheets,
        "mattering": [sheet for sheet in sheets if sheet.matters],
        "same": [sheet for sheet in sheets if not sheet.matters and sheet.unchanged],
        "totals": {str(verdict): total(sheets, verdict) for verdict in Verdict},
        "chosen": sum(sheet.chosen for sheet in sheets),
        "parts": _parts(upload) if upload.state != UploadState.REFUSED else [],
        "outcome": outcome_rows(upload),
    }
    return render(request, "web/uploads/detail.html", values)


@permitted("register.change")
def upload_progress(request: HttpRequest, upload_id: int) -> HttpResponse:
    """How far an upload is, as a fragment; a header says when no more is to come."""
    mark_uploads_interrupted()
    upload = _upload(request, upload_id)
    response = render(request, "web/uploads/progress.html", {"upload": upload})
    response.headers["X-Run-Finished"] = "no" if upload.state in UNFINISHED else "yes"
    response.headers["Cache-Control"] = "no-store"
    return response


@permitted("register.change")
def upload_rows(request: HttpRequest, upload_id: int, sheet: str, verdict: str) -> HttpResponse:
    """All rows of one sheet that would do the same, 50 a page, to be picked from."""
    upload = _upload(request, upload_id)
    file = f"{sheet}.csv".replace("-", "_")
    if file not in upload.counts or verdict not in Verdict.values:
        raise Http404
    page = Paginator(range(upload.counts[file][verdict]), ROWS_A_PAGE).get_page(
        request.GET.get("page")
    )
    start = page.start_index() - 1 if page.object_list else 0
    rows = proposals_of(upload, file, verdict, start, ROWS_A_PAGE)
    part = _part(upload, file, verdict, rows)
    values = {"upload": upload, "part": part, "page": page}
    return render(request, "web/uploads/rows.html", values)


@require_POST
@permitted("register.change")
def upload_choose(request: HttpRequest, upload_id: int) -> HttpResponse:
    """Keep what is to be applied of the rows that were shown."""
    upload = _upload(request, upload_id)
    form = PickForm(request.POST)
    if form.is_valid():
        chosen = form.chosen(request.POST)
        _told(request, lambda: choose_from_upload(upload=upload, by=request.user, **chosen))
    return redirect("web:upload-detail", upload.pk)


def _step(service: Any) -> Any:
    """A view that asks one service for one step of an upload, then shows the upload."""

    @require_POST
    @permitted("register.change")
    def step(request: HttpRequest, upload_id: int) -> HttpResponse:
        upload = _upload(request, upload_id)
        _told(request, lambda: service(upload=upload, by=request.user))
        return redirect("web:upload-detail", upload.pk)

    return step


upload_apply = _step(apply_upload)
upload_undo = _step(undo_upload)
upload_cancel = _step(cancel_upload)
upload_read_again = _step(read_again)


def _told(request: HttpRequest, act: Any) -> None:
    try:
        act()
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))


def _upload(request: HttpRequest, upload_id: int) -> Any:
    return found(lambda: upload_for(request.user, upload_id))


def _parts(upload: Any) -> list[dict[str, Any]]:
    """The first rows of every sheet that would do something: refusals first."""
    return [
        _part(upload, file, verdict, proposals_of(upload, file, verdict, 0, SHOWN_AT_ONCE))
        for verdict in Verdict.values
        for file in TABLES
        if upload.counts.get(file, {}).get(verdict)
    ]


def _part(upload: Any, file: str, verdict: str, rows: list[dict[str, Any]]) -> dict[str, Any]:
    counts = upload.counts[file]
    refused = verdict == Verdict.REFUSED
    return {
        "file": file,
        "slug": file.removesuffix(".csv").replace("_", "-"),
        "title": counts["title"],
        "verdict": verdict,
        "count": counts[verdict],
        "more": counts[verdict] > len(rows),
        "faults": fault_views(rows) if refused else [],
        "rows": [] if refused else row_views(file, rows, upload.choice.get(file, {})),
        "lines": [row["line"] for row in rows],
        "choosable": upload.state == UploadState.PREVIEWED,
        "left_out": upload.choice.get(file, {}).get("leave", False),
    }
