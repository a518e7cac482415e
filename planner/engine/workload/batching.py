"""Hours that volumes take, with the batches that each site's volume really fills."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planner.engine.capacity import hours_per_year
from planner.engine.case import Case, Method
from planner.engine.tables import Floats


@dataclass(frozen=True)
class Run:
    """One run of a device: its minutes, and the samples that it has places for."""

    minutes: float
    samples: float


@dataclass(frozen=True)
class Batching:
    """How a method is done in batches: hands-on minutes, and a run for each of its needs.

    ``runs`` stand in the order of the needs of the method.
    """

    batch_size: float
    minutes_per_batch: float
    minutes_per_sample: float
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Hours:
    """Hours a year: ``staff`` (S, M); ``needs`` for each method and need (S,), in their order."""

    staff: Floats
    needs: tuple[tuple[Floats, ...], ...]


def hours_of(
    case: Case, volumes: Floats, batching: Mapping[str, Batching], days_per_year: float
) -> Hours:
    """What ``volumes`` (S, M), in tests a year, take of staff and of each need.

    A method that ``batching`` does not know takes the hours per test of the case, which are
    those of full batches.
    """
    staff, needs = np.zeros_like(volumes), []
    for position, method in enumerate(case.methods):
        volume, known = volumes[:, position], batching.get(method.code)
        if known is None:
            staff[:, position] = volume * method.staff_hours
            needs.append(_as_stated(method, volume))
        else:
            staff[:, position] = hours_per_year(
                volume,
                known.batch_size,
                known.minutes_per_batch,
                known.minutes_per_sample,
                days_per_year,
            )
            needs.append(
                tuple(
                    hours_per_year(volume, run.samples, run.minutes, 0.0, days_per_year)
                    for run in known.runs
                )
            )
    return Hours(staff, tuple(needs))


def _as_stated(method: Method, volume: Floats) -> tuple[Floats, ...]:
    return tuple(volume * need.hours for need in method.needs)
