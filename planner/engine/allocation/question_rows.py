"""The rows of what version 2 asks: bundles, moves of units, few models of a class."""

import numpy as np

from planner.engine.allocation.draft import NONE, Draft
from planner.engine.allocation.groundwork import Ground


def complete_the_bundles(draft: Draft, here: Ground) -> None:
    """(11) A model that comes in a bundle is bought only where all that belongs to it is there."""
    catalogue, places = draft.instance.catalogue, draft.instance.places
    absent = ~places.present[here.site]
    for action in np.flatnonzero((catalogue.bundled & absent).any(axis=1)):
        bought = draft.columns.action[here.site, action]
        if bought == NONE:
            continue
        for thing in np.flatnonzero(catalogue.bundled[action] & absent):
            given, _ = draft.action_columns(here.site, catalogue.supplies[thing])
            factors = np.append(1.0, np.full(len(given), -float(here.most[action])))
            draft.builder.add_row(np.append(bought, given), factors, upper=0.0)


def move_only_what_is_there(draft: Draft) -> None:
    """(12) No more units of a model leave a site than work there."""
    moves, working = draft.instance.moves, draft.instance.places.working
    pairs = np.stack([moves.origin, moves.model], axis=1)
    for site, model in np.unique(pairs[moves.most > 0], axis=0):
        away = draft.columns.move[(moves.origin == site) & (moves.model == model)]
        draft.builder.add_row(away[away != NONE], 1.0, upper=float(working[site, model]))


def keep_to_the_models_per_class(draft: Draft) -> None:
    """(13) Of each class that is to be standardised, at most so many models are bought."""
    chosen, columns = draft.columns.chosen, draft.columns.action
    for model in np.flatnonzero(chosen != NONE):
        for here in draft.grounds:
            bought = columns[here.site, model]
            if bought != NONE:
                draft.builder.add_row(
                    np.array([bought, chosen[model]]),
                    np.array([1.0, -float(here.most[model])]),
                    upper=0.0,
                )
    for limit in draft.instance.bounds.standards:
        among = chosen[limit.models & (chosen != NONE)]
        draft.builder.add_row(among, 1.0, upper=float(limit.most))
