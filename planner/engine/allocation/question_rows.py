"""The rows of what version 2 asks: bundles, moves of units, few models of a class, what is to
be reached."""

import numpy as np

from planner.engine.allocation.columns import NONE
from planner.engine.allocation.draft import Draft
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


def reach_the_minimum_sets(draft: Draft) -> None:
    """(14) A pair is reached if its share of the site's demand for the test is done."""
    column, arc, method, _ = draft.all_shares()
    origin, test_of = draft.instance.places.origin[arc], draft.instance.catalogue.test_of[method]
    for pair, reached in zip(draft.instance.asked.pairs, draft.columns.pair, strict=True):
        done = column[(origin == pair.site) & (test_of == pair.test)]
        factors = np.append(np.ones(len(done)), -pair.share)
        draft.builder.add_row(np.append(done, reached), factors, lower=0.0)


def meet_the_targets(draft: Draft) -> None:
    """(15) A target is met in the part to which its group gets its share of what is possible."""
    column, arc, method, volume = draft.all_shares()
    catalogue, places = draft.instance.catalogue, draft.instance.places
    worth = catalogue.value[method] * volume
    for (group, share), met in zip(draft.instance.asked.targets, draft.columns.met, strict=True):
        inside = group.sites[places.origin[arc]] & group.tests[catalogue.test_of[method]]
        draft.builder.add_row(
            np.append(column[inside], met),
            np.append(worth[inside], -share * group.possible),
            lower=0.0,
        )
