"""Results of a device held against those of a reference: amounts, or yes and no."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from apps.catalogue.choices import Measure
from apps.inventory.adapters.limits import engine_limit
from apps.inventory.adapters.readings import Readings
from apps.inventory.adapters.stating import Figures, Found, measured_as
from planner.engine.agreement import (
    ERRORS,
    Agreement,
    Interval,
    Limit,
    Measured,
    Share,
    bland_altman,
    error_limits,
    qualitative,
    repeatability,
    total_error,
)

Pair = tuple[Limit, Measured | None]


def of_pairs(readings: Readings) -> tuple[Figures, Found, dict[str, float]]:
    device, reference = readings.column("device"), readings.column("reference")
    agreement = bland_altman(device, reference)
    found = _agreement_found(readings, agreement)
    figures = {**asdict(agreement), "total_error": total_error(agreement)}
    if all(device) and all(reference):
        figures["percent"] = asdict(
            bland_altman(device, reference, difference="percent_of_reference")
        )
    if repeat := readings.column("repeat"):
        figures["duplicates"] = asdict(repeatability(device, repeat))
    cv = found.get(Measure.CV_PCT)
    return figures, found, measured_as(Measure.CV_PCT, cv.value) if cv else {}


def _agreement_found(readings: Readings, agreement: Agreement) -> Found:
    found = {
        Measure.BIAS: Measured(agreement.bias, agreement.n, agreement.bias_interval),
        Measure.LIMITS_OF_AGREEMENT: Measured(agreement.lower, agreement.n, to=agreement.upper),
    }
    if repeat := readings.column("repeat"):
        spread = repeatability(readings.column("device"), repeat)
        found[Measure.DUPLICATES] = Measured(spread.greatest_difference, spread.n)
        found[Measure.CV_PCT] = Measured(spread.cv_pct, spread.n)
    return found


def held_against(kept: Sequence[Mapping[str, Any]], readings: Readings) -> Iterator[Pair]:
    """Limits on means and spreads, each from the specimens in its range; then on errors."""
    for each in kept:
        if each["measure"] not in ERRORS:
            part = _in_range(readings, each)
            columns = part.column("device"), part.column("reference")
            usable = len(part.rows) > 1
            found = _agreement_found(part, bland_altman(*columns)) if usable else {}
            yield engine_limit(each), found.get(each["measure"])
    yield from error_limits(
        readings.column("device"), readings.column("reference"), map(engine_limit, kept)
    )


def _in_range(readings: Readings, kept: Mapping[str, Any]) -> Readings:
    low, high = kept["range_low"], kept["range_high"]
    at = readings.columns.index("reference")
    rows = tuple(
        row
        for row in readings.rows
        if (low is None or row[at] >= low) and (high is None or row[at] < high)
    )
    return Readings(readings.columns, rows)


def of_yes_and_no(readings: Readings) -> tuple[Figures, Found, dict[str, float]]:
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
