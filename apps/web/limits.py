"""Limits of verification and figures of studies in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.catalogue.choices import Interval
from apps.web.figures import figures, percent_text
from planner.engine.intervals import wilson

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


@dataclass(frozen=True)
class ShareWords:
    """A share with its 95 % interval; ``ours`` where the interval was worked out from counts."""

    words: str
    ours: bool = False


@dataclass(frozen=True)
class StudyRow:
    """A study with its shares in words; ``None``: not reported."""

    study: Any
    sensitivity: ShareWords | None
    specificity: ShareWords | None


def study_rows(studies: Iterable[Any]) -> tuple[StudyRow, ...]:
    """Studies of a model or a method, ready to be shown."""
    return tuple(
        StudyRow(
            study,
            share_of_study(study, "sensitivity", "true_positive", "false_negative"),
            share_of_study(study, "specificity", "true_negative", "false_positive"),
        )
        for study in studies
    )


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
    return tuple(Control(row, how_often(row), _percent(row.extra_tests_share)) for row in rows)


def share_of_study(study: Any, name: str, right: str, wrong: str) -> ShareWords | None:
    """``sensitivity`` or ``specificity`` of a study with its interval; ``None``: not reported.

    Where only counts are reported, the share and its score interval are worked out from them.
    """
    share, low, high = (getattr(study, f"{name}{end}") for end in ("", "_low", "_high"))
    if share is None:
        hits, misses = getattr(study, right), getattr(study, wrong)
        if hits is None or misses is None or not hits + misses:
            return ShareWords(_between(low, high)) if low is not None else None
        found_low, found_high = (float(end) for end in wilson(hits, hits + misses))
        words = f"{_percent(hits / (hits + misses))} ({_between(found_low, found_high)})"
        return ShareWords(words, ours=True)
    return ShareWords(
        f"{_percent(share)} ({_between(low, high)})" if low is not None else _percent(share)
    )


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


def _percent(share: float) -> str:
    whole = round(share * 100, 6) == round(share * 100)
    return percent_text(share, 0 if whole else 1)


def _between(low: float, high: float) -> str:
    return f"{figures(100 * low, 1)}–{figures(100 * high, 1)}"


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
        "share": _percent(share),
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
