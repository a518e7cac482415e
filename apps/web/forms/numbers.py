"""Numbers as people type them, read strictly: what could be meant in two ways is refused."""

import re
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

# Plain figures, groups of three (25,000), or lakh and crore (2,50,000). A space or a
# no-break space groups as well as a comma does.
FIGURES = re.compile(
    r"(?:\d+|\d{1,3}(?P<three>[, \u00a0\u202f])\d{3}(?:(?P=three)\d{3})*"
    r"|\d{1,2}(?P<two>[, \u00a0\u202f])(?:\d{2}(?P=two))*\d{3})(?:\.\d+)?",
    re.ASCII,
)
GROUPING = re.compile(r"[, \u00a0\u202f]")


class FiguresField(forms.Field):
    """A number of at least ``least`` and at most ``most``; blank is ``None``.

    ``places`` is how many decimals are allowed. The widget asks phones for digits.
    """

    default_error_messages = {
        "required": gettext_lazy("Write a number."),
        "figures": gettext_lazy(
            "“%(value)s” is not a number this form can read. Write figures with a decimal"
            " point, for example 25000, 25,000 or 12.5."
        ),
        "places": gettext_lazy("Write at most %(places)d decimals; “%(value)s” has more."),
        "whole": gettext_lazy("Write a whole number; “%(value)s” is not one."),
        "least": gettext_lazy("Write at least %(bound)s; “%(value)s” is less."),
        "most": gettext_lazy("Write at most %(bound)s; “%(value)s” is more."),
    }

    def __init__(
        self, *, least: Decimal | int, most: Decimal | int, places: int = 0, **kwargs
    ) -> None:
        self.least, self.most, self.places = Decimal(least), Decimal(most), places
        mode = "decimal" if places else "numeric"
        kwargs.setdefault("widget", forms.TextInput({"inputmode": mode, "autocomplete": "off"}))
        super().__init__(**kwargs)

    def to_python(self, value: object) -> Decimal | None:
        text = str(value).strip() if value is not None else ""
        if not text:
            return None
        if not FIGURES.fullmatch(text):
            self._refuse("figures", text)
        number = Decimal(GROUPING.sub("", text))
        if -number.as_tuple().exponent > self.places:
            self._refuse("places" if self.places else "whole", text)
        if number < self.least:
            self._refuse("least", text)
        if number > self.most:
            self._refuse("most", text)
        return number

    def _refuse(self, code: str, text: str) -> None:
        bound = self.least if code == "least" else self.most
        raise ValidationError(
            self.error_messages[code],
            code=code,
            params={"value": text, "bound": f"{bound:,f}", "places": self.places},
        )


def percent(**kwargs) -> FiguresField:
    """A share of 0 to 100 per cent with up to three decimals."""
    return FiguresField(least=0, most=100, places=3, **kwargs)


def share(number: Decimal | None) -> float:
    """Per cent as a share of 0 to 1; blank is 0."""
    return float((number or Decimal(0)) / 100)


def plain_percent(share: float) -> str:
    """A share of 0 to 1 as the per cent that would be typed: ``0.07`` is ``7``."""
    return plain(Decimal(str(share)) * 100)


def plain(number: Decimal | float | None) -> str:
    """A number as it would be typed: no grouping, no idle zeros; ``None`` is blank."""
    return "" if number is None else f"{Decimal(str(number)).normalize():f}"
