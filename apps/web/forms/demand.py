from collections.abc import Iterable
from typing import Any, Protocol

from django import forms
from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from apps.web.forms.choices import Choice, with_any
from planner.engine.demand import BASES


class Show(TextChoices):
    """Which estimates to list."""

    FLAGGED = "flagged", _("What does not fit")
    CHANGED = "changed", _("What differs")
    ALL = "all", _("Everything")


class Estimate(Protocol):
    """What is asked of an estimate; ``demand.selectors`` gives such."""

    facility: Any
    test: Any
    adopted: Any
    chosen: Any
    is_flagged: bool
    disagrees: bool


class DemandForm(forms.Form):
    """Which estimates to show; every answer may be left out, then it is those that do not fit."""

    district = forms.CharField(required=False, widget=forms.HiddenInput)
    site = forms.SlugField(required=False, widget=forms.HiddenInput)
    test = forms.SlugField(required=False, widget=forms.HiddenInput)
    basis = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=with_any((each, each) for each in BASES)
    )
    block = forms.ChoiceField(label=_("Block"), required=False)
    programme = forms.ChoiceField(label=_("Programme"), required=False)
    show = forms.ChoiceField(label=_("Show"), required=False, choices=Show.choices)

    def __init__(
        self, *args, blocks: Iterable[Choice], programmes: Iterable[Choice], **kwargs
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["block"].choices = with_any((block.code, block.name) for block in blocks)
        self.fields["programme"].choices = with_any((each.code, each.name) for each in programmes)

    @property
    def chosen_basis(self) -> str:
        """Which figure is to be adopted; empty for the one to go by."""
        self.is_valid()
        return self.cleaned_data.get("basis", "")

    @property
    def is_single(self) -> bool:
        """Whether one site and one test are asked for."""
        self.is_valid()
        return bool(self.cleaned_data.get("site") and self.cleaned_data.get("test"))

    def to_adopt(self, estimates: Iterable[Estimate]) -> list[Estimate]:
        """Those asked for; of several, none whose estimates do not fit each other.

        Which of them is right has to be found out case by case.
        """
        found = self.narrow(estimates)
        return found if self.is_single else [each for each in found if not each.disagrees]

    def narrow(self, estimates: Iterable[Estimate]) -> list[Estimate]:
        """Those asked for; an answer that is no choice limits nothing."""
        self.is_valid()
        asked = self.cleaned_data
        show = asked.get("show") or Show.FLAGGED
        return [
            each
            for each in estimates
            if _is(asked.get("site"), each.facility.code)
            and _is(asked.get("test"), each.test.code)
            and _is(asked.get("block"), each.facility.area.code)
            and _is(asked.get("programme"), each.test.programme.code)
            and _SHOWN[show](each)
        ]


def _is(asked: str | None, code: str) -> bool:
    return not asked or asked == code


def _differs(estimate: Estimate) -> bool:
    """By a whole test at least: estimates are adopted in whole tests."""
    if estimate.chosen is None:
        return False
    held = estimate.adopted.tests_per_year if estimate.adopted else 0.0
    return abs(estimate.chosen.tests_per_year - held) >= 1


_SHOWN = {
    Show.FLAGGED: lambda each: each.is_flagged,
    Show.CHANGED: _differs,
    Show.ALL: lambda each: True,
}
