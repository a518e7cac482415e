"""Measured quantities as people type them, and what an engine's refusal says about each."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from apps.web.forms.numbers import FiguresField
from planner.engine.errors import InputError
from planner.engine.physics.quantities import Quantity, rounded_in_words

MOST = Decimal(10) ** 12
PLACES = 6
NEGATIVE = re.compile(r"[-\N{MINUS SIGN}\N{EN DASH}]\s*[\d.]")


class MeasureField(FiguresField):
    """A quantity of zero or more; blank is ``None``. Whether it can exist, the engine says."""

    default_error_messages = {
        "negative": gettext_lazy(
            "This cannot be below zero; “%(value)s” is. Write it without a sign."
        ),
    }

    def __init__(self, **kwargs) -> None:
        super().__init__(least=0, most=MOST, places=PLACES, required=False, **kwargs)

    def to_python(self, value: object) -> Decimal | None:
        text = str(value).strip() if value is not None else ""
        if NEGATIVE.match(text):
            raise ValidationError(
                self.error_messages["negative"], code="negative", params={"value": text}
            )
        return super().to_python(value)


def number(given: Decimal | None) -> float | None:
    """A cleaned answer as the engine takes it."""
    return None if given is None else float(given)


class ClaimForm(forms.Form):
    """A claim whose ``quantities`` (by field) can or cannot exist; all refusals at once."""

    quantities: Mapping[str, Quantity]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        given = {name: cleaned.get(name) for name in self.quantities}
        for name, value in given.items():
            if value is not None and not exists(self.quantities[name], value):
                self.add_error(name, impossible(self.quantities[name], value))
        return self.cleaned_data

    @property
    def says_something(self) -> bool:
        """Whether there is a claim at all, and one that can be."""
        return self.is_bound and self.is_valid() and any(self.cleaned_data.values())

    def figures(self) -> dict[str, float | None]:
        """The quantities as the engine takes them; ``None``: not said."""
        return {name: number(self.cleaned_data[name]) for name in self.quantities}


def exists(quantity: Quantity, given: Decimal) -> bool:
    """Whether the engine would take it."""
    try:
        quantity.values(float(given))
    except InputError:
        return False
    return True


def impossible(quantity: Quantity, given: Decimal) -> str:
    """Why ``given`` cannot be, and what may have been meant."""
    words = {
        "value": rounded_in_words(float(given), 6),
        "low": f"{quantity.lowest:g}",
        "high": quantity.in_words(quantity.highest),
    }
    if quantity.above_zero:
        text = gettext("%(value)s cannot be: it must be above %(low)s and at most %(high)s.")
    else:
        text = gettext("%(value)s cannot be: it must be from %(low)s to %(high)s.")
    slip = f" {quantity.slip[:1].upper()}{quantity.slip[1:]}." if quantity.slip else ""
    return f"{text % words}{slip.replace('?.', '?')}"
