from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from apps.coverage.choices import State
from apps.facilities.choices import Level
from apps.web.forms.choices import Choice, with_any


class GridForm(forms.Form):
    """What part of the grid to show; every answer may be left out."""

    district = forms.CharField(required=False, widget=forms.HiddenInput)
    block = forms.ChoiceField(label=_("Block"), required=False)
    level = forms.TypedChoiceField(
        label=_("Level"),
        required=False,
        choices=with_any(Level.choices),
        coerce=int,
        empty_value=None,
    )
    programme = forms.ChoiceField(label=_("Programme"), required=False)
    state = forms.ChoiceField(label=_("State"), required=False, choices=with_any(State.choices))
    text = forms.CharField(label=_("Name of a site or test"), required=False, max_length=80)
    on = forms.DateField(
        label=_("As it was on"),
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )

    def limits(self) -> dict[str, Any]:
        """What ``coverage.selectors.grid`` takes; an answer that is no choice limits nothing."""
        self.is_valid()
        asked = ("block", "level", "programme", "state", "on")
        return {name: self.cleaned_data.get(name) or None for name in asked}

    def sought(self) -> str:
        self.is_valid()
        return self.cleaned_data.get("text", "")

    def __init__(
        self, *args, blocks: Iterable[Choice], programmes: Iterable[Choice], **kwargs
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["block"].choices = with_any((block.code, block.name) for block in blocks)
        self.fields["programme"].choices = with_any((each.code, each.name) for each in programmes)
