"""What a device says of itself against what an instrument finds."""

from dataclasses import asdict
from typing import Any

from apps.catalogue.choices import Measure
from apps.inventory.adapters.readings import Readings
from apps.inventory.choices import ATTRIBUTES_OF
from apps.inventory.choices import VerificationKind as Kind
from planner.engine.agreement import Deviation, Measured, deviations

Figures = dict[str, Any]
Found = dict[str, Measured]

_MEASURE_OF: dict[str, Measure] = {
    Kind.TEMPERATURE: Measure.TEMPERATURE_ERROR_CEL,
    Kind.TIMER: Measure.TIMER_ERROR_PCT,
    Kind.VOLUME: Measure.VOLUME_ERROR_PCT,
    Kind.WAVELENGTH: Measure.WAVELENGTH_ERROR_NM,
}
_IN_PER_CENT = frozenset({Measure.TIMER_ERROR_PCT, Measure.VOLUME_ERROR_PCT})


def of_settings(kind: str, readings: Readings) -> tuple[Figures, Found, dict[str, float]]:
    off = deviations(
        readings.column("stated"), readings.column("found"), below_zero=kind == Kind.TEMPERATURE
    )
    measure = _MEASURE_OF[kind]
    found = error_of(off, in_per_cent=measure in _IN_PER_CENT)
    if found is None:
        return asdict(off), {}, {}
    return asdict(off), {measure: found}, measured_as(measure, max(map(abs, found.ends)))


def measured_as(measure: str, value: float) -> dict[str, float]:
    """``value`` under every attribute that the measure is a figure of."""
    return dict.fromkeys(ATTRIBUTES_OF.get(measure, ()), value)


def error_of(off: Deviation, *, in_per_cent: bool) -> Measured | None:
    """The least and the greatest error, both of which must keep a limit."""
    if not in_per_cent:
        return Measured(off.least, off.n, to=off.greatest)
    if off.least_pct is None or off.greatest_pct is None:
        return None
    return Measured(off.least_pct, off.n, to=off.greatest_pct)
