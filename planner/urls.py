"""Addresses: the API under ``/api/v1/``, the administration, and the pages."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("apps.api.urls")),
    path("admin/", admin.site.urls),
    path("", include("apps.web.urls")),
]
