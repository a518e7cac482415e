"""Small forms by which people at a site fill the register: each with what its writer was shown.

``seen`` is what stood in the form when it was opened, as text; ``entry_key`` is new for each
entry, so that one which is sent twice is kept once.
"""

import datetime as dt
import json
import uuid
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from apps.facilities.choices import Basis, Observer
from apps.facilities.services import Said
from apps.web.forms.numbers import FiguresField, plain
from apps.web.registers import LABELS, UNITS

DATE = forms.DateInput({"type": "date"}, format="%Y-%m-%d")
MOST = 10**9
BASES = [each for each in Basis.choices if each[0] != Basis.IMPORTED]


def asked(each: models.Field) -> forms.Field:
    """The question of a model field; blank is allowed where it may be unknown."""
    common = {"label": LABELS.get(each.name, each.verbose_name), "required": not each.blank}
    if each.choices:
        choices = list(each.flatchoices)
        if each.blank and "" not in dict(choices):
            choices.insert(0, ("", _("Not known")))
        return forms.ChoiceField(choices=choices, **common)
    if isinstance(each, models.DateField):
        return forms.DateField(widget=DATE, **common)
    if isinstance(each, models.IntegerField | models.FloatField | models.DecimalField):
        limits = {check.code: check.limit_value for check in _limits(each)}
        most = min(limits.get("max_value", MOST), MOST)
        places = 0 if isinstance(each, models.IntegerField) else 2
        return FiguresField(least=0, most=most, places=places, **common)
    return forms.CharField(max_length=each.max_length, **common)


def text_of(value: Any) -> str:
    """A value as it stands in the form."""
    match value:
        case None:
            return ""
        case str():
            return value
        case dt.date():
            return value.isoformat()
    return plain(value)


class EntryForm(forms.Form):
    """Facts ``names`` of ``row`` and how they became known."""

    observed_on = forms.DateField(label=_("Seen on"), widget=DATE, initial=timezone.localdate)
    basis = forms.ChoiceField(label=_("How is it known?"), choices=BASES)
    observer = forms.ChoiceField(label=_("By whom?"), choices=Observer.choices, required=False)
    why = forms.CharField(label=_("Remark"), max_length=300, required=False)
    seen = forms.CharField(widget=forms.HiddenInput, required=False)
    entry_key = forms.CharField(widget=forms.HiddenInput, required=False, max_length=80)

    HOW = ("observed_on", "basis", "observer", "why")
    HIDDEN = ("seen", "entry_key")

    def __init__(self, *args: Any, row: models.Model, names: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.row, self.names = row, tuple(names)
        fields = {name: asked(row._meta.get_field(name)) for name in self.names}
        self.fields = {**fields, **self.fields}
        shown = {name: text_of(getattr(row, name)) for name in self.names}
        self.initial = {
            **shown, "seen": json.dumps(shown), "entry_key": str(uuid.uuid4()), **self.initial,
        }  # fmt: skip

    def facts(self) -> list[tuple[forms.BoundField, str]]:
        """The questions about the row, each with its unit."""
        return [(self[name], UNITS.get(name, "")) for name in self.names]

    def how(self) -> list[forms.BoundField]:
        return [self[name] for name in self.HOW]

    def changes(self) -> dict[str, Any]:
        """What is to be written; where both values were shown and theirs was chosen, nothing."""
        return {
            name: self._value(name, self.cleaned_data[name])
            for name in self.names
            if self.data.get(f"use_{name}") != "theirs"
        }

    def shown(self) -> dict[str, Any]:
        """What the writer was shown; nothing was known of what is not in it."""
        try:
            kept = json.loads(self.cleaned_data["seen"] or "{}")
        except ValueError:
            kept = {}
        kept = kept if isinstance(kept, Mapping) else {}
        return {name: self._read(name, str(kept.get(name, ""))) for name in self.names}

    def said(self) -> Said:
        given = self.cleaned_data
        names = ("observed_on", "basis", "observer", "why", "entry_key")
        return Said(**{name: given[name] for name in names})

    def refuse(self, refused: ValidationError) -> None:
        """Put what the service says beside the question it is about."""
        if hasattr(refused, "message_dict"):
            for name, messages in refused.message_dict.items():
                self.add_error(name if name in self.fields else None, messages)
        else:
            self.add_error(None, refused.messages)

    def _read(self, name: str, text: str) -> Any:
        try:
            return self._value(name, self.fields[name].to_python(text))
        except ValidationError:
            return text

    def _value(self, name: str, given: Any) -> Any:
        """What a model field holds; the question knows no unknown other than blank."""
        each = self.row._meta.get_field(name)
        return each.to_python(given if given != "" or not each.null else None)


class AddItemForm(EntryForm):
    """A device that is not in the register yet."""

    def __init__(self, *args: Any, models_offered: Iterable[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", _("Choose one")), *((each.code, each.name) for each in models_offered)]
        added = {
            "device_model": forms.ChoiceField(label=_("What is it?"), choices=choices),
            "code": forms.SlugField(
                label=_("Inventory number"),
                max_length=60,
                help_text=_("Small letters, digits and hyphens, as on its label."),
            ),
        }
        self.fields = {**added, **self.fields}

    def facts(self) -> list[tuple[forms.BoundField, str]]:
        return [(self["device_model"], ""), (self["code"], ""), *super().facts()]


class MoveForm(EntryForm):
    """Where a device goes."""

    def __init__(self, *args: Any, sites: Iterable[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(each.code, each.name) for each in sites]
        to = forms.ChoiceField(label=_("To which site?"), choices=choices)
        self.fields = {"to": to, **self.fields}
        self.fields["observed_on"].label = _("Moved on")
        self.fields["why"].label, self.fields["why"].required = _("Why?"), True
        self.initial["to"] = self.row.facility.code

    def facts(self) -> list[tuple[forms.BoundField, str]]:
        return [(self["to"], ""), *super().facts()]


class ServiceForm(EntryForm):
    """A line of the service log."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["observed_on"].label = _("Done on")


def _limits(each: models.Field) -> list[Any]:
    return [check for check in each.validators if hasattr(check, "limit_value")]
