"""A logged run of a centrifuge: what it did to a tube, and how steadily."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.engine.agreement.readings import Values
from planner.engine.errors import InputError
from planner.engine.physics import spin

AT_SPEED = 0.9
"""A run is at speed from the first to the last moment at 90 % of its greatest speed."""

LONGEST_S = 4 * 3600


@dataclass(frozen=True)
class SpeedLog:
    """One run: seconds, speeds in rpm, forces in g at ``radius_cm``.

    ``rcf_g`` is the time mean of the force while the run is at speed, so that of an
    oscillating spin the standstills count too; ``rcf_peak_g`` is what it touches.
    ``at_speed_s``: from the first to the last moment at 90 % of the greatest speed.
    ``cv_pct``: SD of the speed over its mean, while at speed. ``g_minutes``: the whole run.
    ``in_band_s``: time at a force within the band asked about; ``None`` where none was.
    """

    readings: int
    seconds: float
    radius_cm: float
    mean_rpm: float
    root_mean_square_rpm: float
    greatest_rpm: float
    at_speed_s: float
    mean_rpm_at_speed: float
    cv_pct: float
    rcf_g: float
    rcf_peak_g: float
    g_minutes: float
    in_band_s: float | None


def speed_log(
    times_s: Sequence[float],
    speeds_rpm: Sequence[float],
    radius_cm: float,
    *,
    band_g: tuple[float, float] | None = None,
) -> SpeedLog:
    """What a run did, from a tachometer log; speed is linear between two readings.

    A turn the other way counts as a turn. ``band_g``: least and greatest force, in g.

    Raises ``InputError`` if the log is shorter than two readings, time does not rise, a speed
    or the radius cannot exist, or nothing turns.
    """
    g_minutes = spin.g_minutes(times_s, speeds_rpm, radius_cm)
    times, speeds = np.asarray(times_s, float), np.abs(np.asarray(speeds_rpm, float))
    _refuse_what_no_run_is(times, speeds)
    start, stop = _at_speed(times, speeds)
    at_times, at_speeds = _between(times, speeds, start, stop)
    mean, square = _mean(at_times, at_speeds), _mean_square(at_times, at_speeds)
    # Of a steady run the difference of two large figures can fall below zero by rounding.
    sd = float(np.sqrt(max(square - mean**2, 0.0)))
    greatest = float(speeds.max())
    per_rpm2 = spin.RCF_PER_CM_RPM2 * radius_cm
    return SpeedLog(
        readings=times.size,
        seconds=float(times[-1] - times[0]),
        radius_cm=float(radius_cm),
        mean_rpm=_mean(times, speeds),
        root_mean_square_rpm=float(np.sqrt(_mean_square(times, speeds))),
        greatest_rpm=greatest,
        at_speed_s=float(stop - start),
        mean_rpm_at_speed=mean,
        cv_pct=100 * sd / mean,
        rcf_g=float(per_rpm2 * square),
        rcf_peak_g=float(per_rpm2 * greatest**2),
        g_minutes=g_minutes,
        in_band_s=None if band_g is None else _seconds_within(times, speeds, radius_cm, band_g),
    )


def _refuse_what_no_run_is(times: Values, speeds: Values) -> None:
    problems = []
    if np.isnan(times).any() or np.isnan(speeds).any():
        problems.append("times and speeds: expected a number in each reading, found none in one")
    elif times[-1] - times[0] > LONGEST_S:
        problems.append(
            f"times: expected at most {LONGEST_S} s from first to last, found "
            f"{times[-1] - times[0]:g} (are these milliseconds? Divide by 1000)"
        )
    elif not speeds.any():
        problems.append("speeds: expected at least one above 0 rpm, found none")
    if problems:
        raise InputError("speed log", problems)


def _at_speed(times: Values, speeds: Values) -> tuple[float, float]:
    """First and last moment at the fraction ``AT_SPEED`` of the greatest speed."""
    wanted = AT_SPEED * speeds.max()
    above = np.flatnonzero(speeds >= wanted)
    first, last = int(above[0]), int(above[-1])
    start, stop = float(times[first]), float(times[last])
    if first > 0:
        start = _crossing(times, speeds, first - 1, wanted)
    if last + 1 < times.size:
        stop = _crossing(times, speeds, last, wanted)
    return start, stop


def _crossing(times: Values, speeds: Values, at: int, wanted: float) -> float:
    """The moment between readings ``at`` and ``at + 1`` at which the speed is ``wanted``."""
    share = (wanted - speeds[at]) / (speeds[at + 1] - speeds[at])
    return float(times[at] + share * (times[at + 1] - times[at]))


def _between(times: Values, speeds: Values, start: float, stop: float) -> tuple[Values, Values]:
    """The part of the log from ``start`` to ``stop``, with both ends as readings."""
    inside = (times > start) & (times < stop)
    ends = np.interp([start, stop], times, speeds)
    return (
        np.concatenate(([start], times[inside], [stop])),
        np.concatenate((ends[:1], speeds[inside], ends[1:])),
    )


def _mean(times: Values, speeds: Values) -> float:
    return float(np.trapezoid(speeds, times) / (times[-1] - times[0]))


def _mean_square(times: Values, speeds: Values) -> float:
    """Exact for a speed that is linear between readings: Δt (n₁² + n₁n₂ + n₂²) / 3."""
    first, second = speeds[:-1], speeds[1:]
    squares = np.diff(times) * (first**2 + first * second + second**2) / 3
    return float(squares.sum() / (times[-1] - times[0]))


def _seconds_within(
    times: Values, speeds: Values, radius_cm: float, band_g: tuple[float, float]
) -> float:
    """Seconds at which the force is within the band; each interval is cut where it crosses."""
    low, high = (float(spin.speed_rpm(force, radius_cm)) if force else 0.0 for force in band_g)
    steps, first, second = np.diff(times), speeds[:-1], speeds[1:]
    least, most = np.minimum(first, second), np.maximum(first, second)
    overlap = np.minimum(most, high) - np.maximum(least, low)
    steady = most == least
    width = np.where(steady, 1.0, most - least)
    inside = np.where(steady, (least >= low) & (least <= high), np.clip(overlap, 0, None) / width)
    return float((steps * inside).sum())
