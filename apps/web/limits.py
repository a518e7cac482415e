"""Limits of verification and quality controls in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.catalogue.choices import Interval
from apps.web.figures import share_text

# How UCUM units are written for people; the others read well as they are.
UNITS = {"1": "", "[g]": "g", "Cel": "°C", "um": "µm", "uL": "µL", "/h": "per hour"}


@dataclass(frozen=True)
class Limit:
    """One limit: what is measured, how far it may be off, and for how long a pass counts."""

    row: Any
    of: str
    words: str
    range: str

    @property
    def measure(self) -> str:
        """What is measured, and of which analyte."""
        what = self.row.get_measure_display()
        return f"{what} ({self.row.analyte})" if self.row.analyte else what


@dataclass(frozen=True)
class Control:
    """A quality control in words; ``extra`` is the tests that it adds."""

    row: Any
    often: str
    extra: str


def limits(rows: Iterable[Any]) -> tuple[Limit, ...]:
    """The limits of a class, a method or a test, ready to be shown."""
    return tuple(
        Limit(
            row,
            of=str(row.device_class or row.method or row.test),
            words=_within(row.low, row.high, row.ucum, row.share_within),
            range=_range(row.range_low, row.range_high, row.range_ucum),
        )
        for row in rows
    )


def controls(rows: Iterable[Any]) -> tuple[Control, ...]:
    """The quality controls of a method, ready to be shown."""
    return tuple(Control(row, how_often(row), share_text(row.extra_tests_share)) for row in rows)


def how_often(control: Any) -> str:
    """``every day``, ``every 4 months``: how often a quality control is due."""
    single = {
        Interval.TESTS: gettext("every test"),
        Interval.DAY: gettext("every day"),
        Interval.WEEK: gettext("every week"),
        Interval.MONTH: gettext("every month"),
        Interval.YEAR: gettext("every year"),
        Interval.LOT: gettext("every lot of reagent"),
    }
    if control.every == 1:
        return single[Interval(control.interval)]
    words = {"every": f"{control.every:g}", "interval": control.get_interval_display()}
    return gettext("every %(every)s %(interval)s") % words


def unit(ucum: str) -> str:
    """A UCUM unit as people write it."""
    return UNITS.get(ucum, ucum)


def _within(low: float | None, high: float | None, ucum: str, share: float | None) -> str:
    if low is not None and high is not None:
        words = f"±{high:g}" if low == -high else gettext("%(low)s to %(high)s") % _ends(low, high)
    elif high is not None:
        words = gettext("at most %(high)s") % {"high": f"{high:g}"}
    else:
        words = gettext("at least %(low)s") % {"low": f"{low:g}"}
    words = f"{words} {unit(ucum)}".strip()
    if share is None:
        return words
    return gettext("%(limit)s, for %(share)s of results") % {
        "limit": words,
        "share": share_text(share),
    }


def _range(low: float | None, high: float | None, ucum: str) -> str:
    """For which reference values a limit holds; blank: for all."""
    if low is None and high is None:
        return ""
    if low is None:
        words = gettext("below %(high)s") % {"high": f"{high:g}"}
    elif high is None:
        words = gettext("from %(low)s") % {"low": f"{low:g}"}
    else:
        words = gettext("%(low)s to %(high)s") % _ends(low, high)
    return f"{words} {unit(ucum)}".strip()


def _ends(low: float, high: float) -> dict[str, str]:
    return {"low": f"{low:g}", "high": f"{high:g}"}
