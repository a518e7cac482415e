"""Questions that this version does not answer yet, and says so."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from apps.web.views.access import permitted


@permitted("register.view")
def delivery_list(request: HttpRequest) -> HttpResponse:
    return render(request, "web/questions/deliveries.html")


@permitted("register.view")
def verification_list(request: HttpRequest) -> HttpResponse:
    return render(request, "web/questions/verification.html")
