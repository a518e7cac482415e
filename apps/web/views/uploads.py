"""Workbooks to be filled in, and files that come back: looked at, applied, undone."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.facilities.selectors import areas_for, facilities_for, facility_for
from apps.imports.adapters.sources import RefusedFileError
from apps.imports.adapters.tables import TABLES
from apps.imports.choices import UNFINISHED, UploadState, Verdict
from apps.imports.exports import survey_workbook, tables_xlsx
from apps.imports.selectors import proposals_of, upload_for, uploads_for
from apps.imports.services import (
    apply_upload,
    cancel_upload,
    choose_from_upload,
    mark_uploads_interrupted,
    read_again,
    take_in,
    undo_upload,
)
from apps.web.forms.uploads import SITE, PickForm, SendForm, WorkbookForm
from apps.web.uploads import fault_views, outcome_rows, row_views, sheet_counts, total
from apps.web.views.access import found, permitted
from apps.web.views.files import XLSX, attachment
from apps.web.views.scope import required_district

PAGE_SIZE = 20
ROWS_A_PAGE = 50
SHOWN_AT_ONCE = 10


@permitted("register.change")
def upload_list(request: HttpRequest) -> HttpResponse:
    """Get a workbook, send one back, and what became of those sent before."""
    mark_uploads_interrupted()
    return _list(request, WorkbookForm(None, **_places(request)), _send_form(request))


@require_POST
@permitted("register.change")
def upload_workbook(request: HttpRequest) -> HttpResponse:
    """The workbook of a site, a block or a district, with what is known filled in."""
    form = WorkbookForm(request.POST, **_places(request))
    if not form.is_valid():
        return _list(request, form, _send_form(request), status=422)
    kind, code = form.named
    if kind == SITE:
        site = found(lambda: facility_for(request.user, code))
        made, content = survey_workbook(area=site.area, site=site, by=request.user)
    else:
        area = found(lambda: areas_for(request.user).get(code=code))
        made, content = survey_workbook(area=area, by=request.user)
    name = f"survey-{slugify(code)}-{made.at:%Y-%m-%d}.xlsx"
    return attachment(content, name, XLSX)


@permitted("register.view")
def register_tables(request: HttpRequest) -> HttpResponse:
    """The tables of a district as one workbook, to be looked at."""
    district = required_district(request)
    content = tables_xlsx(request.user, district)
    return attachment(content, f"register-{district.code}.xlsx", XLSX)


@require_POST
@permitted("register.change")
def upload_send(request: HttpRequest) -> HttpResponse:
    """Take a file in; the page of the upload then says what it would change."""
    form = _send_form(request, request.POST, request.FILES)
    if form.is_valid():
        file = form.cleaned_data["file"]
        area = found(lambda: areas_for(request.user).get(code=form.named[1]))
        try:
            taken = take_in(file_name=file.name, content=file.read(), area=area, by=request.user)
        except ValidationError as refused:
            form.add_error("file", refused.messages)
        except RefusedFileError as refused:
            form.add_error("file", str(refused))
        else:
            if taken.unmapped is not None:
                return redirect("web:file-columns", taken.unmapped.pk)
            said = gettext("%(file)s was taken for this: %(kind)s.")
            messages.success(request, said % {"file": file.name, "kind": taken.kind.label})
            return redirect("web:upload-detail", taken.upload.pk)
    workbook = WorkbookForm(None, **_places(request))
    return _list(request, workbook, form, status=422)


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


def _places(request: HttpRequest) -> dict[str, Any]:
    return {
        "areas": list(areas_for(request.user)),
        "sites": list(facilities_for(request.user).order_by("name")),
    }


def _send_form(request: HttpRequest, *given: Any) -> SendForm:
    return SendForm(*(given or (None,)), areas=list(areas_for(request.user)))


def _list(
    request: HttpRequest, workbook: WorkbookForm, send: SendForm, status: int = 200
) -> HttpResponse:
    values = {
        "workbook": workbook,
        "send": send,
        "has_areas": bool(workbook.fields["place"].choices[0][1]),
        "page": Paginator(uploads_for(request.user), PAGE_SIZE).get_page(request.GET.get("page")),
        "may_view_history": may(request.user, "history.view"),
    }
    return render(request, "web/uploads/list.html", values, status=status)
