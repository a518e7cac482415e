from collections.abc import Iterable

import django_filters
from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from apps.facilities.choices import Level
from apps.web.forms.choices import Choice


class SiteFilter(django_filters.FilterSet):
    """Narrows a queryset of facilities by name, block and level; keeps the order asked for."""

    text = django_filters.CharFilter(label=_("Name or code"), method="called")
    block = django_filters.ChoiceFilter(
        label=_("Block"), field_name="area__code", empty_label=_("any")
    )
    level = django_filters.ChoiceFilter(
        label=_("Level"), choices=Level.choices, empty_label=_("any")
    )

    district = django_filters.CharFilter(method="kept", widget=forms.HiddenInput)
    sort = django_filters.CharFilter(method="kept", widget=forms.HiddenInput)

    class Meta:
        fields: list[str] = []

    def __init__(self, *args, blocks: Iterable[Choice], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.filters["block"].extra["choices"] = [(block.code, block.name) for block in blocks]

    def called(self, queryset, _name: str, text: str):
        return queryset.filter(Q(name__icontains=text) | Q(code__icontains=text))

    def kept(self, queryset, _name: str, _value: str):
        """Answers that the list itself heeds; here they only stay in the address."""
        return queryset
