"""What was found of a device, arranged for its page: figures, a drawing, the readings."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from django.utils.translation import gettext

from apps.inventory.choices import VerificationKind as Kind
from apps.web.verification_charts import difference_chart, error_chart, speed_chart
from apps.web.verification_options import UNIT_OF
from planner.engine.agreement import figure


@dataclass(frozen=True)
class FigureRow:
    """One figure with its unit, and its 95 % interval where it has one."""

    name: str
    words: str
    interval: str = ""


@dataclass(frozen=True)
class Answer:
    """All that the page of one verification shows of its readings."""

    rows: list[FigureRow]
    chart: Mapping[str, Any] | None
    chart_title: str
    columns: list[str]
    readings: list[list[str]]

    @classmethod
    def of(cls, verification: Any) -> Self:
        found, kept = verification.figures, verification.readings
        rows, chart, title = _ARRANGED.get(verification.kind, _settings)(verification, found, kept)
        cells = [[_cell(verification.kind, value) for value in row] for row in kept["rows"]]
        return cls(rows, chart, title, kept["columns"], cells)


def _cell(kind: str, value: float) -> str:
    if kind == Kind.YES_NO:
        return gettext("yes") if value else gettext("no")
    return f"{value:g}"


def _column(kept: Mapping[str, Any], name: str) -> list[float]:
    at = kept["columns"].index(name)
    return [row[at] for row in kept["rows"]]


def _between(interval: Mapping[str, float], unit: str = "") -> str:
    return _from_to(interval["low"], interval["high"], unit)


def _from_to(low: float, high: float, unit: str = "") -> str:
    """``−2.0 to 0.9 %``: a dash would be taken for another sign."""
    return gettext("%(low)s to %(high)s") % {"low": figure(low), "high": figure(high, unit)}


def _pairs(_verification: Any, found: Mapping[str, Any], kept: Mapping[str, Any]) -> tuple:
    unit = found["unit"]
    rows = [
        FigureRow(gettext("Specimens"), str(found["n"])),
        FigureRow(
            gettext("Mean difference, device − reference"),
            figure(found["bias"], unit),
            _between(found["bias_interval"], unit),
        ),
        FigureRow(gettext("Standard deviation of the differences"), figure(found["sd"], unit)),
        FigureRow(
            gettext("Lower limit of agreement (bias − %(times)g SD)")
            % {"times": found["multiplier"]},
            figure(found["lower"], unit),
            _between(found["lower_interval"], unit),
        ),
        FigureRow(
            gettext("Upper limit of agreement (bias + %(times)g SD)")
            % {"times": found["multiplier"]},
            figure(found["upper"], unit),
            _between(found["upper_interval"], unit),
        ),
        FigureRow(gettext("Total error, |bias| + 1.65 SD"), figure(found["total_error"], unit)),
        FigureRow(
            gettext("Range of the reference"),
            _from_to(found["lowest"], found["highest"], unit),
        ),
        *_more(found, unit),
    ]
    pairs = list(zip(_column(kept, "device"), _column(kept, "reference"), strict=True))
    chart = difference_chart(
        pairs, bias=found["bias"], lower=found["lower"], upper=found["upper"], unit=unit
    )
    return rows, chart, gettext("Difference from the reference, specimen by specimen")


def _more(found: Mapping[str, Any], unit: str) -> list[FigureRow]:
    """In per cent, of duplicates, and whether the difference grows with the amount."""
    rows = []
    if percent := found.get("percent"):
        rows.append(
            FigureRow(
                gettext("Mean difference, % of the reference"),
                figure(percent["bias"], "%"),
                _between(percent["bias_interval"], "%"),
            )
        )
    if spread := found.get("duplicates"):
        rows += [
            FigureRow(
                gettext("Greatest difference of duplicates"),
                figure(spread["greatest_difference"], unit),
            ),
            FigureRow(gettext("Coefficient of variation"), figure(spread["cv_pct"], "%")),
        ]
    trend = found["trend"]
    if trend["p_value"] is not None:
        words = (
            gettext("yes, likely: compare high and low amounts apart")
            if trend["p_value"] < 0.05
            else gettext("no sign of it")
        )
        rows.append(FigureRow(gettext("Does the difference grow with the amount?"), words))
    return rows


def _yes_no(_verification: Any, found: Mapping[str, Any], _kept: Mapping[str, Any]) -> tuple:
    rows = [
        FigureRow(gettext("Specimens"), str(found["n"])),
        FigureRow(gettext("Both positive"), str(found["true_positive"])),
        FigureRow(gettext("Only the device positive"), str(found["false_positive"])),
        FigureRow(gettext("Only the reference positive"), str(found["false_negative"])),
        FigureRow(gettext("Both negative"), str(found["true_negative"])),
    ]
    for name, words in (
        ("sensitivity", gettext("Sensitivity")),
        ("specificity", gettext("Specificity")),
    ):
        if share := found[name]:
            percent = 100 * share["count"] / share["of"]
            ends = {end: 100 * share["wilson"][end] for end in ("low", "high")}
            rows.append(FigureRow(words, figure(percent, "%"), _between(ends, "%")))
    rows.append(FigureRow(gettext("Both say the same"), figure(100 * found["agreement"], "%")))
    if found["kappa"] is not None:
        rows.append(FigureRow(gettext("Agreement beyond chance, kappa"), figure(found["kappa"])))
    return rows, None, ""


def _spin(_verification: Any, found: Mapping[str, Any], kept: Mapping[str, Any]) -> tuple:
    rows = [FigureRow(gettext("Runs"), str(len(found["runs"])))]
    if "rcf_g" in found:
        rows.append(FigureRow(gettext("Force that every run holds"), figure(found["rcf_g"], "g")))
    for at, run in enumerate(found["runs"], 1):
        rows += _run(at, run, has_force="rcf_g" in found)
    if speed := found.get("speed"):
        words = _from_to(speed["least_pct"], speed["greatest_pct"], "%")
        rows.append(FigureRow(gettext("Error of speed"), words))
    seconds, speeds = _column(kept, "seconds"), _column(kept, "rpm")
    runs = _column(kept, "run") if "run" in kept["columns"] else [1.0] * len(seconds)
    chart = speed_chart(list(zip(runs, seconds, speeds, strict=True)), set_rpm=found.get("set_rpm"))
    return rows, chart, gettext("Speed, second by second")


def _run(at: int, run: Mapping[str, Any], *, has_force: bool) -> list[FigureRow]:
    name = gettext("Run %(number)d") % {"number": at}
    rows = [
        FigureRow(
            f"{name}: {gettext('speed, while at speed')}",
            f"{figure(run['mean_rpm_at_speed'], 'rpm')}, CV {figure(run['cv_pct'], '%')}",
        ),
        FigureRow(f"{name}: {gettext('time at speed')}", figure(run["at_speed_s"], "s")),
    ]
    if has_force:
        rows += [
            FigureRow(f"{name}: {gettext('mean force at r max')}", figure(run["rcf_g"], "g")),
            FigureRow(f"{name}: {gettext('the whole run')}", figure(run["g_minutes"], "g·min")),
        ]
    return rows


def _settings(verification: Any, found: Mapping[str, Any], kept: Mapping[str, Any]) -> tuple:
    unit = UNIT_OF[verification.kind]
    rows = [
        FigureRow(gettext("Readings"), str(found["n"])),
        FigureRow(gettext("Mean error, found − stated"), figure(found["mean"], unit)),
        FigureRow(
            gettext("Least and greatest error"),
            _from_to(found["least"], found["greatest"], unit),
        ),
    ]
    if found["least_pct"] is not None:
        words = _from_to(found["least_pct"], found["greatest_pct"], "%")
        rows.append(FigureRow(gettext("The same in per cent"), words))
    pairs = list(zip(_column(kept, "stated"), _column(kept, "found"), strict=True))
    return rows, error_chart(pairs, unit=unit), gettext("Error at each setting")


_ARRANGED = {Kind.PAIRED: _pairs, Kind.YES_NO: _yes_no, Kind.SPIN: _spin}
