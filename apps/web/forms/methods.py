"""Narrowing the list of methods. An answer that is no choice limits nothing."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from apps.web.forms.choices import Choice, with_any


class MethodListForm(forms.Form):
    """Which tests and methods to show."""

    text = forms.CharField(label=_("Test or method"), required=False, max_length=80)
    programme = forms.ChoiceField(label=_("Programme"), required=False)

    def __init__(self, *args, programmes: Iterable[Choice], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["programme"].choices = with_any((each.code, each.name) for each in programmes)

    def fits(self, method: Any) -> bool:
        """Whether a method, with its test and programme, is among those asked for."""
        self.is_valid()
        text = self.cleaned_data.get("text", "").casefold()
        named = f"{method.test.name} {method.name}".casefold()
        return text in named and self.cleaned_data.get("programme", "") in (
            "",
            method.test.programme.code,
        )
