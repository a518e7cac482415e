"""The questions that a plan is made of."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext_lazy as _

from apps.catalogue.choices import Grade
from apps.web.forms.choices import Choice
from apps.web.forms.numbers import FiguresField, percent, plain, plain_percent, share

MOST_MONEY = Decimal("9999999999")
MOST_SECONDS = 3600
DEFAULT_GAP_PERCENT = "0.1"


class DraftForm(forms.Form):
    """Money, limits and floors of a plan for one district, asked in plain words."""

    title = forms.CharField(
        label=_("What is the plan called?"),
        max_length=120,
        error_messages={"required": _("Give the plan a name.")},
    )
    capital = FiguresField(
        label=_("How much money is there?"),
        help_text=_("For purchases, repairs, training and infrastructure, from any source."),
        least=0,
        most=MOST_MONEY,
        places=2,
    )
    recurrent = FiguresField(
        label=_("How much may it cost to run, a year?"),
        help_text=_(
            "Supplies, upkeep, supervision and transport of specimens, for all tests of the"
            " district. Blank: no limit."
        ),
        least=0,
        most=MOST_MONEY,
        places=2,
        required=False,
    )
    trainer_days = FiguresField(
        label=_("How many days can trainers give?"),
        help_text=_("Blank: no limit."),
        least=0,
        most=100_000,
        places=1,
        required=False,
    )
    max_units = FiguresField(
        label=_("How many units of one model may a site get?"),
        help_text=_("Keeps a plan from stacking one device where it cannot be used."),
        least=1,
        most=20,
        initial="2",
    )
    minimum_evidence = forms.ChoiceField(
        label=_("How good must the evidence for a device model be?"),
        help_text=_("Models with weaker evidence are neither bought nor counted."),
        choices=Grade,
        initial=Grade.B,
    )
    gap = percent(
        label=_("How near to the best possible is near enough?"),
        help_text=_("The search stops when it has proven that no plan is better by more."),
        initial=DEFAULT_GAP_PERCENT,
    )
    time_limit_s = FiguresField(
        label=_("How long may the search take?"),
        help_text=_("Then it gives the best plan found so far, and how far it may be off."),
        least=5,
        most=MOST_SECONDS,
        initial="300",
    )

    def __init__(
        self,
        *args,
        programmes: Iterable[Choice],
        areas: Iterable[Choice],
        **kwargs,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.programmes, self.areas = tuple(programmes), tuple(areas)
        for programme in self.programmes:
            self.fields[f"earmark-{programme.code}"] = FiguresField(
                label=programme.name, least=0, most=MOST_MONEY, places=2, required=False
            )
        for area in self.areas:
            self.fields[f"floor-{area.code}"] = percent(label=area.name, required=False)

    def earmark_fields(self) -> list[BoundField]:
        return [self[f"earmark-{programme.code}"] for programme in self.programmes]

    def floor_fields(self) -> list[BoundField]:
        return [self[f"floor-{area.code}"] for area in self.areas]

    def answers(self) -> dict[str, Any]:
        """What ``plans.services.draft_plan`` asks for, but for the area and the person.

        A blank or zero earmark or floor is left out: there is none.
        """
        given = self.cleaned_data
        return {
            "title": given["title"],
            "capital": given["capital"],
            "earmarks": self._given("earmark", self.programmes),
            "recurrent": given["recurrent"],
            "trainer_days": _number(given["trainer_days"]),
            "max_units": int(given["max_units"]),
            "minimum_evidence": given["minimum_evidence"],
            "floors": {
                code: share(number) for code, number in self._given("floor", self.areas).items()
            },
            "gap": share(given["gap"]),
            "time_limit_s": int(given["time_limit_s"]),
        }

    def _given(self, about: str, choices: tuple[Choice, ...]) -> dict[str, Decimal]:
        found = {choice.code: self.cleaned_data[f"{about}-{choice.code}"] for choice in choices}
        return {code: number for code, number in found.items() if number}


def _number(given: Decimal | None) -> float | None:
    return None if given is None else float(given)


def initial_of(plan: Any) -> dict[str, Any]:
    """The answers that would draft ``plan`` again, as a person would type them."""
    money = {
        f"earmark-{earmark.programme.code}": plain(earmark.amount)
        for earmark in plan.earmarks.all()
    }
    floors = {f"floor-{floor.area.code}": plain_percent(floor.share) for floor in plan.floors.all()}
    return {
        "title": plan.title,
        "capital": plain(plan.capital),
        "recurrent": plain(plan.recurrent),
        "trainer_days": plain(plan.trainer_days),
        "max_units": plain(plan.max_units),
        "minimum_evidence": plan.minimum_evidence,
        "gap": plain_percent(plan.gap),
        "time_limit_s": plain(plan.time_limit_s),
        **money,
        **floors,
    }
