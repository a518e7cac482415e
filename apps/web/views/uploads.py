"""Workbooks to be filled in, and files that come back: looked at, applied, undone."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from apps.accounts.rules import may
from apps.facilities.selectors import areas_for, facilities_for, facility_for
from apps.imports.adapters.sources import RefusedFileError
from apps.imports.exports import survey_workbook, tables_xlsx
from apps.imports.selectors import uploads_for
from apps.imports.services import (
    mark_uploads_interrupted,
    take_in,
)
from apps.web.forms.uploads import SITE, SendForm, WorkbookForm
from apps.web.views.access import found, permitted
from apps.web.views.files import XLSX, attachment
from apps.web.views.scope import required_district

PAGE_SIZE = 20


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
