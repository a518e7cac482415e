"""Addresses: the API under ``/api/v1/``, the administration, and the pages."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from planner.operations import health, metrics

urlpatterns = [
    path("healthz", health.alive),
    path("readyz", health.ready),
    path("metrics", metrics.metrics),
    path("api/v1/", include("apps.api.urls")),
    # One door for all: the administration must not be a way round the second factor.
    path("admin/login/", RedirectView.as_view(pattern_name="web:sign-in", query_string=True)),
    path("admin/", admin.site.urls),
    path("", include("apps.web.urls")),
]
