"""Questions that this version does not answer yet, and says so."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from apps.accounts.rules import may
from apps.web.views.access import permitted


@permitted("register.view")
def delivery_list(request: HttpRequest) -> HttpResponse:
    return _not_yet(request, "web/questions/deliveries.html")


def _not_yet(request: HttpRequest, template: str) -> HttpResponse:
    return render(request, template, {"may_view_plans": may(request.user, "plan.view")})
