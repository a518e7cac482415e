"""Narrowing the list of device models. An answer that is no choice limits nothing."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from apps.catalogue.choices import Grade
from apps.web.forms.choices import Choice, with_any

LOW_COST = [("yes", _("low-cost only")), ("no", _("others only"))]


class DeviceListForm(forms.Form):
    """Which device models to show."""

    text = forms.CharField(label=_("Name"), required=False, max_length=80)
    device_class = forms.ChoiceField(label=_("Class"), required=False)
    evidence = forms.ChoiceField(
        label=_("Evidence"), required=False, choices=with_any(Grade.choices)
    )
    low_cost = forms.ChoiceField(label=_("Low-cost"), required=False, choices=with_any(LOW_COST))

    def __init__(self, *args, classes: Iterable[Choice], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["device_class"].choices = with_any((each.code, each.name) for each in classes)

    def fits(self, model: Any) -> bool:
        """Whether a device model, with the classes that it serves, is among those asked for."""
        self.is_valid()
        asked = {name: self.cleaned_data.get(name, "") for name in self.fields}
        classes = {served.device_class.code for served in model.served_classes.all()}
        return (
            asked["text"].casefold() in model.name.casefold()
            and asked["device_class"] in {"", *classes}
            and asked["evidence"] in ("", model.evidence)
            and asked["low_cost"] in ("", "yes" if model.is_low_cost else "no")
        )
