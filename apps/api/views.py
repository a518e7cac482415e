"""What the views of every noun have in common, and the answer to an unknown address."""

from collections.abc import Callable
from typing import Any, NoReturn

from django.http import HttpRequest
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView, ListAPIView
from rest_framework.permissions import AllowAny
from rest_framework.response import Response
from rest_framework.views import APIView

from apps.accounts.rules import Deed


class View(APIView):
    """A view says for each of its methods which deed the person's role must permit."""

    deeds: dict[str, Deed]
    # OPTIONS would describe the fields a second time; the OpenAPI document does that.
    http_method_names = ["get", "head", "post", "delete"]


class Listing(View, ListAPIView):
    """A paged list of what ``get_queryset`` selects for the person."""


def listed_as(operation_id: str, *, tag: str) -> Callable[[type[Listing]], type[Listing]]:
    """Give the one operation of a listing its name in the OpenAPI document."""
    return extend_schema_view(get=extend_schema(operation_id=operation_id, tags=[tag]))


class PagedView(View, GenericAPIView):
    """A view of several methods, one of which gives a paged list."""

    def paged(self, rows: Any) -> Response:
        page = self.paginate_queryset(self.filter_queryset(rows))
        return self.get_paginated_response(self.get_serializer(page, many=True).data)


@extend_schema(exclude=True)
class UnknownAddress(APIView):
    """Any address below the API's root that is none of its own: 404 in the API's own form."""

    permission_classes = [AllowAny]
    throttle_classes: list = []

    def initial(self, request: HttpRequest, **kwargs: Any) -> NoReturn:
        absent = NotFound(f"The API has no address {request.path}.")
        absent.remedy = "Look it up in /api/v1/docs/. Each address ends with a slash."
        raise absent
