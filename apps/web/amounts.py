"""How shares with intervals, hours and small counts are written."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from django.utils.translation import gettext

from apps.web.figures import figures, percent_text, share_text

# A count of results below this says no more than that there are hardly any.
LEAST_COUNT = 0.05
SMALL_COUNT = 10
COARSE_FROM, COARSE_TO = 0.05, 0.985
NO_BREAK = "\N{NO-BREAK SPACE}"


class Figure(Protocol):
    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Share:
    """A share in words: ``text`` is empty where it is not known, ``interval`` where that is."""

    text: str
    interval: str
    source: Any | None = None
    kind: str = ""


def coarse_text(share: float) -> str:
    """Whole per cent; the decimal only near none and near all, where it tells."""
    return percent_text(share) if COARSE_FROM <= share <= COARSE_TO else share_text(share)


def range_text(
    low: float | None, high: float | None, end_text: Callable[[float], str] = share_text
) -> str:
    """``68–88 %``; nothing where an end is not known."""
    if low is None or high is None:
        return ""
    unit = f"{NO_BREAK}%"
    return f"{end_text(low).removesuffix(unit)}–{end_text(high)}"


def share_of(figure: Figure, source: Any | None = None, kind: str = "") -> Share:
    """A figure as it is given, with where it is from."""
    if figure.value is None:
        return Share("", "")
    return Share(share_text(figure.value), range_text(figure.low, figure.high), source, str(kind))


def predicted_of(figure: Figure) -> Share:
    """In whole per cent: it is worked out, from figures that are themselves uncertain."""
    if figure.value is None:
        return Share("", "")
    return Share(coarse_text(figure.value), range_text(figure.low, figure.high, coarse_text))


def count_text(number: float) -> str:
    """Cases a year: ``12``, ``1.1``, or that there is fewer than one in ten years."""
    if number < LEAST_COUNT:
        return gettext("under 0.1")
    return figures(number, 1 if number < SMALL_COUNT else 0)


def hours_text(hours: float) -> str:
    """``35 min`` below an hour, else ``6.6 h`` or ``24 h``."""
    if hours < 1:
        return f"{figures(hours * 60)}{NO_BREAK}min"
    return f"{figures(hours, 1 if round(hours * 10) % 10 else 0)}{NO_BREAK}h"


def km_text(km: float) -> str:
    """``3.4 km``; whole kilometres from a hundred on."""
    return f"{figures(km, 1 if km < 100 else 0)}{NO_BREAK}km"
