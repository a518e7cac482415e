"""Filters and ordering of lists, declared without models and refused when mistyped."""

from collections.abc import Callable
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django_filters import ModelChoiceFilter, OrderingFilter
from django_filters.rest_framework import DjangoFilterBackend
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.views import APIView

from apps.facilities.selectors import areas_for


class DeclaredFilters(DjangoFilterBackend):
    """The filters of ``view.filterset_class``, and no other query parameter.

    A misspelt filter would otherwise give the whole list, which looks like an answer.
    """

    def filter_queryset(self, request: Request, queryset: QuerySet, view: APIView) -> QuerySet:
        filterset = self.get_filterset_class(view)
        allowed = [
            *(filterset.base_filters if filterset else ()),
            view.paginator.page_query_param,
            view.paginator.page_size_query_param,
        ]
        refusal = [f"There is no such parameter here. There are: {', '.join(sorted(allowed))}."]
        if unknown := set(request.query_params) - set(allowed):
            raise ValidationError({name: refusal for name in sorted(unknown)})
        return super().filter_queryset(request, queryset, view)


class CodeFilter(ModelChoiceFilter):
    """Rows that belong to the thing with this code; a code that is not there is refused.

    ``among(request)`` gives the things the person may name.
    """

    def __init__(self, field_name: str, among: Callable[[HttpRequest], QuerySet], **more: Any):
        messages = {"invalid_choice": "There is no %(value)r that you may see."}
        super().__init__(
            field_name=field_name,
            queryset=among,
            to_field_name="code",
            error_messages=messages,
            **more,
        )


class AreaFilter(CodeFilter):
    """Rows in an area or below it; ``path_field`` leads to the area's path."""

    def __init__(self, path_field: str):
        super().__init__(
            path_field,
            lambda request: areas_for(request.user),
            help_text="Code of an area; what lies in the areas below it is included.",
        )

    def filter(self, queryset: QuerySet, area: Any) -> QuerySet:
        if not area:
            return queryset
        return queryset.filter(**{f"{self.field_name}__startswith": area.path})


class Ordering(OrderingFilter):
    """``?ordering=name,-level``. The primary key settles ties, so that pages do not overlap."""

    def __init__(self, **fields: str):
        super().__init__(
            fields=[(path, name) for name, path in fields.items()],
            help_text="Fields to sort by, separated by commas; - before one reverses it.",
        )

    def filter(self, queryset: QuerySet, names: list[str] | None) -> QuerySet:
        ordered = super().filter(queryset, names)
        return ordered.order_by(*ordered.query.order_by, "pk") if names else queryset
