"""Time for a test that is done in batches, at the batches that a volume really fills.

Half-filled batches cost whole ones: a site with three specimens a day runs a batch of
twenty with three in it. So the time for one test falls with the volume, to that of a full
batch.
"""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import MINUTES, Quantity, Values

WORKING_DAYS_PER_YEAR = 250.0
"""Days on which a site tests: five a week, 50 weeks. A planning default."""

_VOLUME = Quantity("volume", "tests a year", 0, 1e9, above_zero=False)
_BATCH = Quantity("batch size", "samples", 0, 100_000)
_DAYS = Quantity("working days", "a year", 0, 366, "is this in hours?")


def batches_per_year(
    tests_per_year: ArrayLike,
    batch_size: ArrayLike,
    days_per_year: ArrayLike = WORKING_DAYS_PER_YEAR,
) -> Values:
    """Batches a year = days × ceil(tests per working day ÷ batch size), at most one for each test.

    Specimens do not wait for the next day. Where fewer than one test a day is asked for,
    each is a batch of its own.
    """
    volume, days = _VOLUME.values(tests_per_year), _DAYS.values(days_per_year)
    # 250 tests on 250 days at 1 a batch are 1 batch a day, whatever the division leaves over.
    per_day = np.round(volume / days / _BATCH.values(batch_size), 9)
    return np.minimum(volume, days * np.ceil(per_day))


def hours_per_year(
    tests_per_year: ArrayLike,
    batch_size: ArrayLike,
    minutes_per_batch: ArrayLike,
    minutes_per_sample: ArrayLike,
    days_per_year: ArrayLike = WORKING_DAYS_PER_YEAR,
) -> Values:
    """Hours a year = (batches × minutes per batch + tests × minutes per sample) ÷ 60."""
    batches = batches_per_year(tests_per_year, batch_size, days_per_year)
    for_batches = batches * MINUTES.values(minutes_per_batch)
    for_samples = _VOLUME.values(tests_per_year) * MINUTES.values(minutes_per_sample)
    return (for_batches + for_samples) / 60


def hours_per_test(
    tests_per_year: ArrayLike,
    batch_size: ArrayLike,
    minutes_per_batch: ArrayLike,
    minutes_per_sample: ArrayLike,
    days_per_year: ArrayLike = WORKING_DAYS_PER_YEAR,
) -> Values:
    """Hours for one test at a volume; a volume of 0 gives the time of a batch with one in it."""
    volume = _VOLUME.values(tests_per_year)
    one_alone = (MINUTES.values(minutes_per_batch) + MINUTES.values(minutes_per_sample)) / 60
    hours = hours_per_year(volume, batch_size, minutes_per_batch, minutes_per_sample, days_per_year)
    return np.where(volume > 0, hours / np.where(volume > 0, volume, 1.0), one_alone)


def full_batch_hours_per_test(
    batch_size: ArrayLike, minutes_per_batch: ArrayLike, minutes_per_sample: ArrayLike
) -> Values:
    """Hours for one test where every batch is full: the least that ``hours_per_test`` can be."""
    shared = MINUTES.values(minutes_per_batch) / _BATCH.values(batch_size)
    return (shared + MINUTES.values(minutes_per_sample)) / 60


def runs_per_year(
    tests_per_year: ArrayLike,
    samples_per_run: ArrayLike,
    days_per_year: ArrayLike = WORKING_DAYS_PER_YEAR,
) -> Values:
    """Runs of a machine a year: as ``batches_per_year``, with the places that the machine has."""
    return batches_per_year(tests_per_year, samples_per_run, days_per_year)
