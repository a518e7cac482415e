"""Machine hours at one site: Hall's condition, without the rows that cannot bind."""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.hall import overlapping_unions
from planner.engine.allocation.local import SLACK, Local

MOST_ROWS = 48  # a site that needs more has its hours split by variables instead


@dataclass(frozen=True)
class HoursRow:
    """Hours on a set of models: Σ ``load`` · volume ≤ ``available`` + Σ ``added`` · quantity.

    ``load`` is the hours of one test, by method; ``added`` those of one unit, by action.
    A unit that is moved here or away adds or takes its ``moved`` hours, by model.
    """

    load: Floats
    added: Floats
    available: float
    moved: Floats


def hours_rows(here: Local, ways: Ints, most: Ints) -> tuple[HoursRow, ...] | None:
    """The rows that can bind; ``None`` if the sets of models are too many to list."""
    catalogue = here.catalogue
    models = catalogue.models
    there = (here.working > 0) | (most[:models] > 0) | (most[models : 2 * models] > 0)
    there |= (here.leaving > 0) | (here.arriving > 0)
    kinds = np.flatnonzero(catalogue.device_hours[ways].any(axis=0))
    sources = [frozenset(np.flatnonzero(catalogue.suits[kind] & there).tolist()) for kind in kinds]
    unions = overlapping_unions(frozenset(sources), MOST_ROWS)
    if unions is None:
        return None
    rows = (
        _row(here, ways, most, union, kinds[[source <= union for source in sources]])
        for union in unions
    )
    return tuple(row for row in rows if row is not None)


def _row(
    here: Local, ways: Ints, most: Ints, union: frozenset[int], kinds: Ints
) -> HoursRow | None:
    catalogue = here.catalogue
    inside = np.isin(np.arange(catalogue.models), list(union))
    load: Floats = catalogue.device_hours[:, kinds].sum(axis=1)
    hours = catalogue.unit_hours[: catalogue.models]
    available = float((hours * here.working)[inside].sum())
    short = here.greatest_load(load, ways) - available
    if short <= SLACK * (1 + available):
        return None
    given = np.zeros(len(most), dtype=bool)
    given[: 2 * catalogue.models] = np.tile(inside, 2)
    given &= most > 0
    each_does_it_all = bool((catalogue.unit_hours[given] >= short).all())
    leaving = here.leaving[inside]
    movable = leaving.any() or here.arriving[inside].any()
    if each_does_it_all and not movable and not here.working[inside].any():
        return None  # without a unit nothing runs, and with any unit everything fits
    # Hours beyond what is short are of no use: with them cut off, whole quantities allow
    # the same and broken ones allow less.
    added = np.where(given, np.minimum(catalogue.unit_hours, short), 0.0)
    moved = np.where(inside, hours, 0.0)
    return HoursRow(load, added, available + float(hours[inside] @ leaving), moved)
