"""Readings of one kind held against a set of limits, by the engine; nothing is stored here."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import groupby
from typing import Any

from apps.catalogue.choices import Measure
from apps.inventory.adapters.limits import LimitSet, engine_limit
from apps.inventory.adapters.readings import Readings
from apps.inventory.choices import (
    ATTRIBUTE_OF,
    GREATEST_FORCE,
    LARGEST_RADIUS,
    LOWEST_FORCE,
    SpinSetting,
)
from apps.inventory.choices import VerificationKind as Kind
from planner.engine.agreement import (
    Check,
    Deviation,
    Interval,
    Judgement,
    Limit,
    Measured,
    Share,
    bland_altman,
    deviations,
    error_limits,
    judge,
    qualitative,
    repeatability,
    speed_log,
    total_error,
)
from planner.engine.errors import InputError

Figures = dict[str, Any]
Found = dict[str, Measured]
Pair = tuple[Limit, Measured | None]


@dataclass(frozen=True)
class Computed:
    """``outcome`` against the limits; ``figures`` as JSON with the ``checks`` in words;
    ``measured``: attribute of the device class to its value on this device."""

    outcome: str
    figures: Figures
    measured: dict[str, float]


def compute(
    kind: str,
    readings: Readings,
    limits: LimitSet,
    *,
    attributes: Collection[str] = (),
    unit: str = "",
    radius_cm: float | None = None,
    set_rpm: float | None = None,
    setting: str = SpinSetting.GREATEST,
) -> Computed:
    """Everything that the readings say, and the judgement by those limits they can speak of.

    ``attributes``: codes of the attributes that describe the device's classes; others are not
    measured. ``radius_cm``, ``set_rpm`` and ``setting`` are facts about a spin.

    Raises ``InputError`` for readings that cannot be used, or that no limit speaks of.
    """
    kept = limits.of(kind, unit)
    if not kept:
        raise InputError(
            "verification",
            [f"limits: those of {limits.rule} say nothing about readings of this kind and unit"],
        )
    if kind == Kind.SPIN:
        figures, found, measured = _spin(readings, radius_cm, set_rpm, setting)
        pairs = _plain(kept, found)
    elif kind == Kind.PAIRED:
        figures, found, measured = _paired(readings)
        pairs = [*_by_range(kept, readings), *_by_error(kept, readings)]
    elif kind == Kind.YES_NO:
        figures, found, measured = _yes_no(readings)
        pairs = _plain(kept, found)
    else:
        figures, found, measured = _stated(kind, readings)
        pairs = _plain(kept, found)
    judged = _judge(pairs)
    return Computed(
        judged.outcome,
        {**figures, "unit": unit, "checks": [_check_as_json(each) for each in judged.checks]},
        {name: value for name, value in measured.items() if name in attributes},
    )


def _judge(pairs: Sequence[Pair]) -> Judgement:
    """Each limit with its own figure, though two may be of the same measure."""
    named = [(replace(limit, measure=str(at)), found) for at, (limit, found) in enumerate(pairs)]
    found = {limit.measure: found for limit, found in named if found is not None}
    return judge(found, [limit for limit, _ in named])


def _plain(kept: Sequence[Mapping[str, Any]], found: Found) -> list[Pair]:
    return [(engine_limit(each), found.get(each["measure"])) for each in kept]


# Specimens measured on both.


def _paired(readings: Readings) -> tuple[Figures, Found, dict[str, float]]:
    device, reference = readings.column("device"), readings.column("reference")
    agreement = bland_altman(device, reference)
    found = _agreement_found(readings)
    figures = {**asdict(agreement), "total_error": total_error(agreement)}
    if all(device) and all(reference):
        figures["percent"] = asdict(
            bland_altman(device, reference, difference="percent_of_reference")
        )
    if repeat := readings.column("repeat"):
        figures["duplicates"] = asdict(repeatability(device, repeat))
    cv = found.get(Measure.CV_PCT)
    return figures, found, {ATTRIBUTE_OF[Measure.CV_PCT]: cv.value} if cv else {}


def _agreement_found(readings: Readings) -> Found:
    device, reference = readings.column("device"), readings.column("reference")
    agreement = bland_altman(device, reference)
    found = {
        Measure.BIAS: Measured(agreement.bias, agreement.n, agreement.bias_interval),
        Measure.LIMITS_OF_AGREEMENT: Measured(agreement.lower, agreement.n, to=agreement.upper),
    }
    if repeat := readings.column("repeat"):
        spread = repeatability(device, repeat)
        found[Measure.DUPLICATES] = Measured(spread.greatest_difference, spread.n)
        found[Measure.CV_PCT] = Measured(spread.cv_pct, spread.n)
    return found


def _by_range(kept: Sequence[Mapping[str, Any]], readings: Readings) -> Iterator[Pair]:
    """Limits on means and spreads, each from the specimens in its range of the reference."""
    for each in kept:
        if each["measure"] in (Measure.TOTAL_ERROR, Measure.TOTAL_ERROR_PCT):
            continue
        part = _in_range(readings, each)
        found = _agreement_found(part) if len(part.rows) > 1 else {}
        yield engine_limit(each), found.get(each["measure"])


def _in_range(readings: Readings, kept: Mapping[str, Any]) -> Readings:
    low, high = kept["range_low"], kept["range_high"]
    at = readings.columns.index("reference")
    rows = tuple(
        row
        for row in readings.rows
        if (low is None or row[at] >= low) and (high is None or row[at] < high)
    )
    return Readings(readings.columns, rows)


def _by_error(kept: Sequence[Mapping[str, Any]], readings: Readings) -> Iterator[Pair]:
    return error_limits(
        readings.column("device"), readings.column("reference"), map(engine_limit, kept)
    )


# Positive or negative.


def _yes_no(readings: Readings) -> tuple[Figures, Found, dict[str, float]]:
    pairs = list(zip(readings.column("device"), readings.column("reference"), strict=True))
    table = qualitative(*(pairs.count(cell) for cell in ((1, 1), (1, 0), (0, 1), (0, 0))))
    found = {Measure.AGREEMENT: Measured(table.agreement, table.n)}
    for measure, part in (
        (Measure.SENSITIVITY, table.sensitivity),
        (Measure.SPECIFICITY, table.specificity),
    ):
        if part is not None:
            found[measure] = Measured(part.value, part.of, _both(part))
    return {**asdict(table), "n": table.n, "agreement": table.agreement}, found, {}


def _both(part: Share) -> Interval:
    return Interval(part.wilson.low, part.wilson.high)


# What the device says of itself against what an instrument finds.

_MEASURE_OF: dict[str, Measure] = {
    Kind.TEMPERATURE: Measure.TEMPERATURE_ERROR_CEL,
    Kind.TIMER: Measure.TIMER_ERROR_PCT,
    Kind.VOLUME: Measure.VOLUME_ERROR_PCT,
    Kind.WAVELENGTH: Measure.WAVELENGTH_ERROR_NM,
}
_IN_PER_CENT = frozenset({Measure.TIMER_ERROR_PCT, Measure.VOLUME_ERROR_PCT})


def _stated(kind: str, readings: Readings) -> tuple[Figures, Found, dict[str, float]]:
    off = deviations(
        readings.column("stated"), readings.column("found"), below_zero=kind == Kind.TEMPERATURE
    )
    measure = _MEASURE_OF[kind]
    found = _error(off, in_per_cent=measure in _IN_PER_CENT)
    attribute = ATTRIBUTE_OF.get(measure)
    measured = {attribute: max(map(abs, found.ends))} if attribute and found else {}
    return asdict(off), {measure: found} if found else {}, measured


def _error(off: Deviation, *, in_per_cent: bool) -> Measured | None:
    """The least and the greatest error, both of which must keep a limit."""
    if not in_per_cent:
        return Measured(off.least, off.n, to=off.greatest)
    if off.least_pct is None or off.greatest_pct is None:
        return None
    return Measured(off.least_pct, off.n, to=off.greatest_pct)


# Runs of a centrifuge.


def _spin(
    readings: Readings, radius_cm: float | None, set_rpm: float | None, setting: str
) -> tuple[Figures, Found, dict[str, float]]:
    if radius_cm is None:
        raise InputError(
            "speed log",
            ["radius: not stated. Measure from the axis to the tip of the tube, spinning position"],
        )
    runs = [asdict(speed_log(*log, radius_cm)) for log in _runs(readings)]
    best: Callable[[list[float]], float] = max if setting == SpinSetting.LOWEST else min
    # A force is only as great as in the weakest run, and only as small as in the strongest.
    force = best([run["rcf_g"] for run in runs])
    attribute = LOWEST_FORCE if setting == SpinSetting.LOWEST else GREATEST_FORCE
    figures: Figures = {"runs": runs, "setting": setting, "set_rpm": set_rpm, "rcf_g": force}
    found: Found = {}
    if set_rpm is not None:
        speeds = [run["mean_rpm_at_speed"] for run in runs]
        off = deviations([set_rpm] * len(speeds), speeds)
        figures["speed"] = asdict(off)
        if error := _error(off, in_per_cent=True):
            found[Measure.SPEED_ERROR_PCT] = error
    return figures, found, {attribute: round(force, 1), LARGEST_RADIUS: radius_cm}


def _runs(readings: Readings) -> Iterator[tuple[list[float], list[float]]]:
    """Times and speeds of each run, in the order of the rows."""
    seconds, rpm = readings.column("seconds"), readings.column("rpm")
    number = readings.column("run") or [1.0] * len(seconds)
    for _, rows in groupby(zip(number, seconds, rpm, strict=True), key=lambda row: row[0]):
        _, times, speeds = zip(*rows, strict=True)
        yield list(times), list(speeds)


def _check_as_json(check: Check) -> dict[str, Any]:
    found = check.measured
    return {
        "name": check.limit.name,
        "limit": check.limit.words,
        "found": None if found is None else found.value,
        "to": None if found is None else found.to,
        "n": None if found is None else found.n,
        "outcome": check.outcome,
        "reason": check.reason,
        "settle": check.settle,
    }
