"""What a person chooses of a workbook, a file, and of what a file would change."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from apps.web.forms.choices import Choice

SITE, AREA = "site", "area"


class _PlaceForm(forms.Form):
    """A form about an area of the reader; ``places`` are grouped areas, and sites if asked for."""

    place = forms.ChoiceField(label=gettext_lazy("For which place?"))

    def __init__(
        self, data: Any, files: Any = None, *, areas: Iterable[Choice], sites: Iterable[Choice] = ()
    ):
        super().__init__(data, files)
        groups = [(gettext("Areas"), [(f"{AREA}:{each.code}", each.name) for each in areas])]
        if sites := [(f"{SITE}:{each.code}", each.name) for each in sites]:
            groups.append((gettext("Sites"), sites))
        self.fields["place"].choices = groups

    @property
    def named(self) -> tuple[str, str]:
        """``site`` or ``area``, and the code."""
        kind, _, code = self.cleaned_data["place"].partition(":")
        return kind, code


class WorkbookForm(_PlaceForm):
    """Which place a survey workbook is for."""


class SendForm(_PlaceForm):
    """A file, and the area beyond which nothing of it is taken."""

    place = forms.ChoiceField(
        label=gettext_lazy("Which area may it change?"),
        help_text=gettext_lazy("Rows about anything outside it are refused."),
    )
    file = forms.FileField(
        label=gettext_lazy("File"),
        help_text=gettext_lazy(
            "A survey workbook, a table (.csv), a spreadsheet of your own, GeoJSON, a FHIR bundle"
            " or a planning case; at most 50 MB. What it is is found out."
        ),
        widget=forms.FileInput({"accept": ".xlsx,.csv,.txt,.json,.geojson"}),
        allow_empty_file=True,
        error_messages={"required": gettext_lazy("Choose a file.")},
    )

    field_order = ("file", "place")


class PickForm(forms.Form):
    """Rows that were shown, and those of them that are wanted, or whose value wins."""

    sheet = forms.CharField()
    leave = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")],
        required=False,
        empty_value=None,
        coerce=lambda value: value == "yes",
    )
    shown = forms.JSONField(required=False)

    def chosen(self, lists: Any) -> dict[str, Any]:
        """The arguments of the service; ``lists`` is ``request.POST``."""
        given = self.cleaned_data
        return {
            "sheet": given["sheet"],
            "leave": given["leave"],
            "shown": [line for line in given["shown"] or () if isinstance(line, int)],
            "wanted": _lines(lists.getlist("wanted")),
            "taken": _lines(lists.getlist("taken")),
        }


def _lines(texts: Iterable[str]) -> list[int]:
    return [int(text) for text in texts if text.isdecimal()]
