"""Device models of the catalogue: all of them, and one in all its parts. Open to every visitor."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from apps.catalogue.selectors import device_models, device_page
from apps.coverage.adapters.suiting import methods_against
from apps.web.devices import device_sheet
from apps.web.forms.devices import DeviceListForm
from apps.web.views.access import found
from apps.web.views.scope import own_district


def device_list(request: HttpRequest) -> HttpResponse:
    """Device models with their class, evidence and price."""
    models = list(device_models())
    classes = {s.device_class.code: s.device_class for m in models for s in m.served_classes.all()}
    form = DeviceListForm(request.GET, classes=sorted(classes.values(), key=lambda c: c.name))
    district = own_district(request)
    values: dict[str, Any] = {
        "filters": form,
        "total": len(models),
        "models": [model for model in models if form.fits(model)],
        "currency": district.currency if district else "",
    }
    return render(request, "web/devices/list.html", values)


def device_detail(request: HttpRequest, code: str) -> HttpResponse:
    """One model: what it claims, what physics and evidence say, for which methods it qualifies."""
    page = found(lambda: device_page(code))
    district = own_district(request)
    values: dict[str, Any] = {
        "model": page.model,
        "evidence": page.evidence,
        "sheet": device_sheet(page, methods_against(code)),
        "currency": district.currency if district else "",
    }
    return render(request, "web/devices/detail.html", values)
