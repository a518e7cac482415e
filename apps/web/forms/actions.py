from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from apps.plans.choices import ActionKind
from apps.web.forms.choices import with_any
from apps.web.plan_parts import ARRANGED


class ActionsForm(forms.Form):
    """Which actions of a plan to show."""

    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=with_any(ActionKind.choices))
    text = forms.CharField(label=_("Site or item"), required=False, max_length=80)

    by = forms.CharField(required=False, widget=forms.HiddenInput)

    def fits(self, line: Any) -> bool:
        """Whether an action is among those asked for; what is no choice limits nothing."""
        self.is_valid()
        kind = self.cleaned_data.get("kind", "")
        text = self.cleaned_data.get("text", "").casefold()
        named = f"{line.facility.name} {line.item_name}".casefold()
        return kind in ("", line.kind) and text in named

    @property
    def narrows(self) -> bool:
        self.is_valid()
        return any(self.cleaned_data.get(name) for name in ("kind", "text"))

    @property
    def arrangement(self) -> str:
        """By what the actions are arranged: by site unless something else is asked."""
        self.is_valid()
        by = self.cleaned_data.get("by", "")
        return by if by in dict(ARRANGED) else "site"
