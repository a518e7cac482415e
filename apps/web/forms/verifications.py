"""Readings of a device as somebody writes or pastes them, with what has to be known beside."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from apps.inventory.adapters import Readings, ReadingsError, parse_readings
from apps.inventory.adapters.readings import LONGEST_TEXT
from apps.inventory.choices import Ending, Operator, SpinSetting, Standing
from apps.inventory.choices import VerificationKind as Kind
from apps.web.forms.choices import with_any
from apps.web.forms.numbers import FiguresField

DATE = forms.DateInput({"type": "date"}, format="%Y-%m-%d")


class RecordForm(forms.Form):
    """One verification of ``kind``; a speed log asks for the radius and the speed as well."""

    done_on = forms.DateField(
        label=_("When was it measured?"), widget=DATE, initial=timezone.localdate
    )
    operator = forms.ChoiceField(
        label=_("Who measured, by training?"), choices=Operator, help_text=_("Nobody is named.")
    )
    reference = forms.CharField(
        label=_("What was it compared with?"),
        max_length=200,
        help_text=_("Instrument or method, with its inventory number if it has one."),
    )
    traceability = forms.CharField(
        label=_("What does that rest on?"),
        max_length=200,
        required=False,
        help_text=_("Certificate, standard or control and its date. Blank: not known."),
    )
    radius_cm = FiguresField(
        label=_("Radius to the tip of the tube"),
        help_text=_("As it spins: a swing-out bucket hangs outwards."),
        least=0,
        most=50,
        places=2,
        required=False,
    )
    set_rpm = FiguresField(
        label=_("Speed set"),
        help_text=_("What the dial or the beat said. Blank: there was none."),
        least=1,
        most=1_000_000,
        required=False,
    )
    setting = forms.ChoiceField(
        label=_("How was it driven?"), choices=SpinSetting, initial=SpinSetting.GREATEST
    )
    readings = forms.CharField(
        label=_("Readings"),
        required=False,
        strip=False,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea({"rows": 14, "spellcheck": "false", "autocomplete": "off"}),
    )
    readings_file = forms.FileField(
        label=_("Or a file with the same columns"), required=False, help_text=_("CSV, in UTF-8.")
    )
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def __init__(self, *args: Any, kind: str, columns: str, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        if kind != Kind.SPIN:
            for name in ("radius_cm", "set_rpm", "setting"):
                del self.fields[name]
        self.fields["readings"].help_text = _(
            "A line for each: %(columns)s%(unit)s. Parted by a tab, a comma, a semicolon or a"
            " space, decimals with a point; a line with the names of the columns may come first."
        ) % {"columns": columns, "unit": f" ({unit})" if unit else ""}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        file, text = cleaned.get("readings_file"), cleaned.get("readings", "")
        if file and text.strip():
            self.add_error("readings_file", _("Give the readings or a file, not both."))
        elif file or "readings" in cleaned:
            name = "readings_file" if file else "readings"
            try:
                cleaned["parsed"] = parse_readings(self.kind, _content(file) if file else text)
            except (ReadingsError, ValidationError) as refused:
                problems = getattr(refused, "problems", None) or refused.messages
                self.add_error(name, list(problems))
        return cleaned

    def facts(self) -> dict[str, Any]:
        """What ``record_verification`` asks for, but for the item, the limits and the person."""
        given = self.cleaned_data
        names = ("done_on", "operator", "reference", "traceability", "note")
        spin = {
            "radius_cm": _number(given.get("radius_cm")),
            "set_rpm": _number(given.get("set_rpm")),
            "setting": given.get("setting", SpinSetting.GREATEST),
        }
        return {**{name: given[name] for name in names}, **spin}

    @property
    def parsed(self) -> Readings:
        return self.cleaned_data["parsed"]

    def refuse(self, refused: ValidationError) -> None:
        """Put what the service says beside the question it is about."""
        if hasattr(refused, "message_dict"):
            for name, messages in refused.message_dict.items():
                self.add_error(name if name in self.fields else None, messages)
        else:
            self.add_error(None, refused.messages)


class WithdrawForm(forms.Form):
    why = forms.CharField(
        label=_("Why should it not count?"),
        max_length=300,
        error_messages={"required": _("Say why it is withdrawn.")},
    )


class ChangeForm(forms.Form):
    """What happened to a device, by which its verifications end."""

    ending = forms.ChoiceField(
        label=_("What happened to it?"),
        choices=[each for each in Ending.choices if each[0] != Ending.MOVED],
    )
    changed_on = forms.DateField(label=_("When?"), widget=DATE, initial=timezone.localdate)


class StandingForm(forms.Form):
    """Which devices of a district to show."""

    standing = forms.ChoiceField(
        label=_("What is known"), required=False, choices=with_any(Standing.choices)
    )
    text = forms.CharField(label=_("Site, device or item"), required=False, max_length=80)
    district = forms.CharField(required=False, widget=forms.HiddenInput)

    def fits(self, row: Any) -> bool:
        """Whether a row is among those asked for; what is no choice limits nothing."""
        self.is_valid()
        standing = self.cleaned_data.get("standing", "")
        text = self.cleaned_data.get("text", "").casefold()
        item = row.item
        named = f"{item.facility.name} {item.device_model.name} {item.code}".casefold()
        return standing in ("", row.standing) and text in named


def _content(file: Any) -> str:
    if file.size > LONGEST_TEXT:
        raise ValidationError(
            _("The file is larger than any list of readings. Take the right one.")
        )
    try:
        return file.read().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValidationError(_("The file is not UTF-8. Save it as CSV in UTF-8.")) from error


def _number(given: Any) -> float | None:
    return None if given is None else float(given)
