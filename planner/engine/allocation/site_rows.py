"""The rows that belong to one site: what must be there, and hours of staff and machines."""

from collections.abc import Iterator

import numpy as np

from planner.engine.allocation.arrays import Bools, Ints
from planner.engine.allocation.catalogue import Catalogue
from planner.engine.allocation.draft import NONE, Draft
from planner.engine.allocation.groundwork import Ground


def require_what_is_missing(draft: Draft, here: Ground) -> None:
    """(1) What needs a missing thing is done at most as far as the thing is obtained.

    One row for each arc, test and missing thing: of the alternatives of a test at most one
    serves each specimen, so their shares are added up.
    """
    catalogue = draft.instance.catalogue
    arcs = draft.arcs(here.site)
    test_of = catalogue.test_of[here.ways]
    for test in np.unique(test_of):
        inside = np.flatnonzero(test_of == test)
        for thing, ways in _missing_things(catalogue, here.lacks[inside]):
            shares = draft.columns.share[arcs][:, here.ways[inside[ways]]]
            shares = shares[(shares != NONE).any(axis=1)]
            given, _ = draft.action_columns(here.site, catalogue.supplies[thing])
            row, way = np.nonzero(shares != NONE)
            number = len(shares)
            draft.builder.add_rows(
                np.concatenate([row, np.repeat(np.arange(number), len(given))]),
                np.concatenate([shares[row, way], np.tile(given, number)]),
                np.concatenate([np.ones(len(row)), np.full(number * len(given), -1.0)]),
                upper=np.zeros(number),
            )


def _missing_things(catalogue: Catalogue, lacks: Bools) -> Iterator[tuple[int, Ints]]:
    """Things that some ways of a test lack, and which; ``lacks`` is ways × things.

    Of kinds of device that the same ways lack, one within another, only the narrower says
    something.
    """
    things = np.flatnonzero(lacks.any(axis=0))
    lacking = {int(thing): tuple(np.flatnonzero(lacks[:, thing]).tolist()) for thing in things}
    kinds = [thing for thing in lacking if thing < catalogue.kinds]
    for thing, ways in lacking.items():
        narrower = (
            kind
            for kind in kinds
            if thing < catalogue.kinds and kind != thing and catalogue.within[kind, thing]
        )
        if all(lacking[kind] != ways for kind in narrower):
            yield thing, np.array(ways)


def keep_staff_hours(draft: Draft, here: Ground) -> None:
    """(4) All tests done at the site take no more hours than its staff has."""
    if here.staff_binds:
        columns, hours = draft.arriving(here.site, draft.instance.catalogue.staff_hours)
        limit = float(draft.instance.places.staff_hours[here.site])
        draft.builder.add_row(columns, hours, upper=limit)


def keep_machine_hours(draft: Draft, here: Ground) -> None:
    """(5) Machine hours can be shared out among the units, no hour used twice."""
    if here.hours is None:
        _split_machine_hours(draft, here)
        return
    for row in here.hours:
        shares, hours = draft.arriving(here.site, row.load)
        given, numbers = draft.action_columns(here.site, row.added > 0)
        draft.builder.add_row(
            np.concatenate([shares, given]),
            np.concatenate([hours, -row.added[numbers]]),
            upper=row.available,
        )


def _split_machine_hours(draft: Draft, here: Ground) -> None:
    """The same with one variable for the hours of each kind on each model."""
    catalogue, builder = draft.instance.catalogue, draft.builder
    hours = catalogue.unit_hours[: catalogue.models]
    working = draft.instance.places.working[here.site]
    most_units = working + here.most[: 2 * catalogue.models].reshape(2, -1).sum(axis=0)
    split: dict[tuple[int, int], int] = {}
    for kind in np.flatnonzero(catalogue.device_hours[here.ways].any(axis=0)):
        models = np.flatnonzero(catalogue.suits[kind] & (most_units > 0))
        columns = builder.add_columns(gain=0.0, most=(hours * most_units)[models])
        split |= {(int(kind), int(model)): int(c) for model, c in zip(models, columns, strict=True)}
        shares, load = draft.arriving(here.site, catalogue.device_hours[:, kind])
        builder.add_row(
            np.concatenate([shares, columns]),
            np.concatenate([load, np.full(len(columns), -1.0)]),
            upper=0.0,
        )
    for model in sorted({model for _, model in split}):
        used = np.array([column for (_, m), column in split.items() if m == model])
        bought = np.arange(len(here.most)) % catalogue.models == model
        bought[2 * catalogue.models :] = False
        given, _ = draft.action_columns(here.site, bought)
        builder.add_row(
            np.concatenate([used, given]),
            np.concatenate([np.ones(len(used)), np.full(len(given), -hours[model])]),
            upper=float(hours[model] * working[model]),
        )
