from collections.abc import Iterable
from typing import Any

import django_filters
from django import forms
from django.utils.translation import gettext_lazy as _


class HistoryFilter(django_filters.FilterSet):
    """Narrows a queryset of entries by day, person, what was done and to what kind of thing."""

    since = django_filters.DateFilter(
        label=_("From"),
        field_name="at",
        lookup_expr="date__gte",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    until = django_filters.DateFilter(
        label=_("To"),
        field_name="at",
        lookup_expr="date__lte",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    by = django_filters.CharFilter(label=_("Who"), field_name="by__username", lookup_expr="iexact")
    kind = django_filters.ChoiceFilter(
        label=_("What kind of thing"), field_name="object_type", empty_label=_("any")
    )
    key = django_filters.CharFilter(
        label=_("Code or number"), field_name="object_key", lookup_expr="icontains"
    )

    class Meta:
        fields: list[str] = []

    def __init__(self, *args: Any, kinds: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.filters["kind"].extra["choices"] = list(kinds)
