"""The rows that belong to one site: what must be there, and hours of staff and machines."""

from collections.abc import Iterator

import numpy as np

from planner.engine.allocation.arrays import Bools, Ints
from planner.engine.allocation.catalogue import Catalogue
from planner.engine.allocation.columns import NONE
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.groundwork import Ground


def require_what_is_missing(draft: Draft, here: Ground) -> None:
    """(1) What needs a missing thing is done at most as far as the thing is obtained.

    One row for each arc, test and missing thing: of the alternatives of a test at most one
    serves each specimen, so their shares are added up.
    """
    catalogue = draft.instance.catalogue
    arcs = draft.arcs(here.site)
    test_of = catalogue.test_of[here.ways]
    leaving = draft.instance.moves.leaving[here.site]
    movable = leaving.any() or draft.instance.moves.arriving[here.site].any()
    for test in np.unique(test_of):
        inside = np.flatnonzero(test_of == test)
        for thing, ways in _missing_things(catalogue, here.lacks[inside]):
            shares = draft.columns.share[arcs][:, here.ways[inside[ways]]]
            shares = shares[(shares != NONE).any(axis=1)]
            given, actions = draft.action_columns(here.site, catalogue.supplies[thing])
            row, way = np.nonzero(shares != NONE)
            number = len(shares)
            presence, may_leave = catalogue.presence[actions], 0.0
            if thing < catalogue.kinds and movable:
                moved, units = draft.moves(here.site, catalogue.suits[thing].astype(float))
                given, presence = np.append(given, moved), np.append(presence, units)
                may_leave = float(catalogue.suits[thing] @ leaving)
            draft.builder.add_rows(
                np.concatenate([row, np.repeat(np.arange(number), len(given))]),
                np.concatenate([shares[row, way], np.tile(given, number)]),
                np.concatenate([np.ones(len(row)), np.tile(-presence, number)]),
                upper=np.full(number, may_leave),
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
        moved, units = draft.moves(here.site, row.moved)
        draft.builder.add_row(
            np.concatenate([shares, given, moved]),
            np.concatenate([hours, -row.added[numbers], -units]),
            upper=row.available,
        )


def _split_machine_hours(draft: Draft, here: Ground) -> None:
    """The same with a variable for each kind and model: the part of the model's most hours
    that is spent on the kind."""
    catalogue, builder = draft.instance.catalogue, draft.builder
    models = catalogue.models
    hours, working = catalogue.unit_hours[:models], draft.instance.places.working[here.site]
    arriving = draft.instance.moves.arriving[here.site]
    most = hours * (working + arriving + here.most[: 2 * models].reshape(2, -1).sum(axis=0))
    kind, model = np.nonzero(catalogue.suits & (most > 0))
    spent = builder.add_columns(gain=np.zeros(len(kind)), most=1.0)
    for number in np.flatnonzero(catalogue.device_hours[here.ways].any(axis=0)):
        shares, load = draft.arriving(here.site, catalogue.device_hours[:, number])
        on_kind = kind == number
        builder.add_row(
            np.concatenate([shares, spent[on_kind]]),
            np.concatenate([load, -most[model[on_kind]]]),
            upper=0.0,
        )
    for number in np.unique(model):
        units = np.zeros(len(here.most), dtype=bool)
        units[[number, models + number]] = True
        given, actions = draft.action_columns(here.site, units)
        of_model = spent[model == number]
        moved, added = draft.moves(here.site, np.where(np.arange(models) == number, hours, 0.0))
        builder.add_row(
            np.concatenate([of_model, given, moved]),
            np.concatenate(
                [np.full(len(of_model), most[number]), -catalogue.unit_hours[actions], -added]
            ),
            upper=float(hours[number] * working[number]),
        )
