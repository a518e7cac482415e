from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class PublishForm(forms.Form):
    """What a new version of the catalogue is called."""

    title = forms.CharField(
        label=_("What changed, in a few words"),
        max_length=200,
        error_messages={"required": _("Say in a few words what is new in this version.")},
    )


class CompareForm(forms.Form):
    """Which two catalogues are held against each other."""

    before = forms.ChoiceField(label=_("From"))
    after = forms.ChoiceField(label=_("To"))
    district = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, versions: Iterable[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = ("now", _("the catalogue as it stands"))
        published = [(str(each.number), f"{each.number}: {each.title}") for each in versions]
        self.fields["before"].choices = [*published, now]
        self.fields["after"].choices = [now, *published]
