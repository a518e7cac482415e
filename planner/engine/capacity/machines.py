"""What a device can do in the time it has, how busy that makes it, and who has to wait."""

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.engine.physics.quantities import MINUTES, Quantity, Values

_BATCH = Quantity("batch size", "samples", 0, 100_000)
_RUN = Quantity("run", "min", 0, 100_000)
_BETWEEN = Quantity("mean time between failures", "days", 0, 100_000)
_REPAIR = Quantity("mean time to repair", "days", 0, 100_000, above_zero=False)
_BUSY = Quantity("busy time", "h", 0, 1e9, above_zero=False)
_AVAILABLE = Quantity("available time", "h", 0, 1e9, above_zero=False)
_RATE = Quantity("rate", "per unit of time", 0, 1e9, above_zero=False)
_SERVICE = Quantity("rate of service", "per unit of time", 0, 1e9)


class Band(StrEnum):
    """How busy a device or its users are; the limits are a judgement of the trade."""

    IDLE = "idle"
    LOW = "low"
    FAIR = "fair"
    TARGET = "target"
    BUSY = "busy"
    QUEUEING = "queueing"
    OVER = "over"


BANDS: tuple[Band, ...] = tuple(Band)
"""Below 15 % (consider sharing), to 30 (low), to 40, to 75 (the target), to 80, to 100
(people wait), and above (it cannot be done)."""
_LIMITS = np.array([0.15, 0.30, 0.40])
_LIMITS_INCLUSIVE = np.array([0.75, 0.80, 1.00])


def batch_device_capacity(
    batch_size: ArrayLike,
    available_minutes: ArrayLike,
    setup_minutes: ArrayLike,
    run_minutes: ArrayLike,
) -> Values:
    """Samples in the time = batch size × floor(available ÷ (setup + run)): whole runs only."""
    cycle = MINUTES.values(setup_minutes) + _RUN.values(run_minutes)
    # 480 minutes are 16 runs of 30, whatever the division leaves over.
    runs = np.floor(np.round(MINUTES.values(available_minutes) / cycle, 9))
    return _BATCH.values(batch_size) * runs


def availability(between_failures_days: ArrayLike, to_repair_days: ArrayLike) -> Values:
    """Share of the time a device works: A = MTBF ÷ (MTBF + MTTR), in the long run."""
    works = _BETWEEN.values(between_failures_days)
    return works / (works + _REPAIR.values(to_repair_days))


def utilisation(busy_hours: ArrayLike, available_hours: ArrayLike) -> Values:
    """Busy ÷ available; infinite where there is work and no time, 0 where there is no work."""
    busy, available = np.broadcast_arrays(
        _BUSY.values(busy_hours), _AVAILABLE.values(available_hours)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(busy == 0, 0.0, busy / available)
    unknown: Values = np.where(np.isnan(busy) | np.isnan(available), np.nan, share)
    return unknown


def band(used_share: ArrayLike) -> NDArray[np.int8]:
    """Position in ``BANDS`` of a utilisation; -1 where it is not known.

    15, 30 and 40 % belong to the higher band; 75, 80 and 100 % to the lower.
    """
    values = np.asarray(used_share, dtype=float)
    low = np.searchsorted(_LIMITS, values, side="right")
    high = np.searchsorted(_LIMITS_INCLUSIVE, values, side="left")
    return np.where(np.isnan(values), -1, low + high).astype(np.int8)


def mean_queue_length(arrivals: ArrayLike, served: ArrayLike) -> Values:
    """Mean number waiting in an M/M/1 queue: Lq = ρ² ÷ (1 − ρ), ρ = λ ÷ μ; infinite from ρ = 1.

    Random arrivals, exponential service, one server, nobody turned away.
    """
    load = _RATE.values(arrivals) / _SERVICE.values(served)
    steady = load < 1
    return np.where(steady, load**2 / np.where(steady, 1 - load, 1.0), np.inf)


def mean_queue_wait(arrivals: ArrayLike, served: ArrayLike) -> Values:
    """Mean wait before service in an M/M/1 queue: Wq = ρ ÷ (μ − λ), in the rates' unit of time."""
    rate, service = _RATE.values(arrivals), _SERVICE.values(served)
    load, steady = rate / service, rate < service
    return np.where(steady, load / np.where(steady, service - rate, 1.0), np.inf)
