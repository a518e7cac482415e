"""Which devices of a district to show."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from apps.inventory.choices import Condition, Reason
from apps.web.forms.choices import Choice, with_any

NEEDS = [
    ("due", _("due or overdue")),
    ("stale", _("not seen for a year")),
    ("file", _("half of the file blank")),
]


class EquipmentForm(forms.Form):
    device_class = forms.ChoiceField(label=_("Class"), required=False)
    condition = forms.ChoiceField(
        label=_("Condition"), required=False, choices=with_any(Condition.choices)
    )
    reason = forms.ChoiceField(
        label=_("Why not in use"),
        required=False,
        choices=with_any(each for each in Reason.choices if each[0]),
    )
    needs = forms.ChoiceField(label=_("Wants attention"), required=False, choices=with_any(NEEDS))
    text = forms.CharField(label=_("Site, device or number"), required=False, max_length=80)
    district = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, classes: Iterable[Choice], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["device_class"].choices = with_any((each.code, each.name) for each in classes)

    def limits(self) -> dict[str, str]:
        """What was asked for; what is no choice limits nothing."""
        self.is_valid()
        return {name: self.cleaned_data.get(name) or "" for name in self.fields}
