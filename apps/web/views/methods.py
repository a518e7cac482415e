"""Methods of the catalogue: all of them, and one in all its parts. Open to every visitor."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from apps.catalogue.selectors import method_page, methods, programmes, test_methods
from apps.coverage.adapters.suiting import lives_years, models_against
from apps.coverage.selectors import findings_across
from apps.web.forms.methods import MethodListForm
from apps.web.hindrances import across
from apps.web.methods import by_programme, compared, method_sheet
from apps.web.views.access import found
from apps.web.views.scope import own_district


def method_list(request: HttpRequest) -> HttpResponse:
    """Tests under their programmes, each with the ways to do it."""
    every = methods().prefetch_related(None).select_related("test__programme")
    form = MethodListForm(request.GET, programmes=programmes())
    fitting = [method for method in every if form.fits(method)]
    values: dict[str, Any] = {
        "filters": form,
        "count": len(fitting),
        "groups": by_programme(fitting),
        "district": own_district(request),
    }
    return render(request, "web/methods/list.html", values)


def method_detail(request: HttpRequest, code: str) -> HttpResponse:
    """One method: what it takes, how good it is, what it costs, which devices suit it."""
    page = found(lambda: method_page(code))
    method, district = page.method, own_district(request)
    findings = findings_across(request.user, district, method.test.code) if district else []
    runs = across(findings).runs_by_method if findings else None
    values: dict[str, Any] = {
        "method": method,
        "sheet": method_sheet(page, models_against(code), lives_years()),
        "others": compared(test_methods(method.test.code).prefetch_related(None), runs),
        "district": district,
        "currency": district.currency if district else "",
        "sites": None if runs is None else runs.get(code, 0),
    }
    return render(request, "web/methods/detail.html", values)
