"""Runs of a centrifuge, or of anything that turns, from a tachometer."""

from collections.abc import Callable, Iterator
from dataclasses import asdict
from itertools import groupby

from apps.catalogue.choices import Measure
from apps.inventory.adapters.readings import Readings
from apps.inventory.adapters.stating import Figures, Found, error_of
from apps.inventory.choices import GREATEST_FORCE, LARGEST_RADIUS, LOWEST_FORCE, SpinSetting
from planner.engine.agreement import deviations, speed_log


def of_spins(
    readings: Readings, radius_cm: float | None, set_rpm: float | None, setting: str
) -> tuple[Figures, Found, dict[str, float]]:
    # Of what turns without a tube, such as a rotator, only the speed counts.
    runs = [asdict(speed_log(*log, radius_cm or 1.0)) for log in _runs(readings)]
    best: Callable[[list[float]], float] = max if setting == SpinSetting.LOWEST else min
    # A force is only as great as in the weakest run, and only as small as in the strongest.
    force = best([run["rcf_g"] for run in runs])
    attribute = LOWEST_FORCE if setting == SpinSetting.LOWEST else GREATEST_FORCE
    figures: Figures = {"runs": runs, "setting": setting, "set_rpm": set_rpm}
    found: Found = {}
    if set_rpm is not None:
        speeds = [run["mean_rpm_at_speed"] for run in runs]
        off = deviations([set_rpm] * len(speeds), speeds)
        figures["speed"] = asdict(off)
        if error := error_of(off, in_per_cent=True):
            found[Measure.SPEED_ERROR_PCT] = error
    if radius_cm is None:
        return figures, found, {}
    figures["rcf_g"] = force
    return figures, found, {attribute: round(force, 1), LARGEST_RADIUS: radius_cm}


def _runs(readings: Readings) -> Iterator[tuple[list[float], list[float]]]:
    """Times and speeds of each run, in the order of the rows."""
    seconds, rpm = readings.column("seconds"), readings.column("rpm")
    number = readings.column("run") or [1.0] * len(seconds)
    for _, rows in groupby(zip(number, seconds, rpm, strict=True), key=lambda row: row[0]):
        _, times, speeds = zip(*rows, strict=True)
        yield list(times), list(speeds)
