"""Quantities beyond which nothing could be gained at a site."""

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.local import SLACK, Local


def useful_quantities(here: Local, ways: Ints) -> Ints:
    """Of each action, the quantity beyond which nothing could be gained, limits aside."""
    catalogue, models = here.catalogue, here.catalogue.models
    needed: Bools = np.any(catalogue.needs[ways], axis=0)
    wanted = catalogue.supplies & needed[:, None]
    useful: Ints = np.any(wanted & here.absent[:, None], axis=0).astype(np.int64)
    given = catalogue.presence > 0
    useful[given] = np.ceil(useful[given] / catalogue.presence[given] - SLACK)
    for model in np.flatnonzero(wanted[:, :models].any(axis=0)):
        short = _hours_short(here, ways, int(model), needed)
        for action in (model, models + model):
            if (hours := catalogue.unit_hours[action]) > 0:
                useful[action] = max(useful[action], np.ceil(short / hours - SLACK))
    if here.bundled.any():
        asked: Bools = np.any(here.bundled[np.maximum(useful, here.least) > 0], axis=0)
        useful[catalogue.supplies[asked].any(axis=0)] = 1
    return useful


def _hours_short(here: Local, ways: Ints, model: int, needed: Bools) -> float:
    """Hours that further units of ``model`` could work at most.

    Working units that suit every kind that ``model`` suits take their part of the load,
    if with them all loads that they could take are counted.
    """
    catalogue = here.catalogue
    hours = catalogue.unit_hours[: catalogue.models]
    suits = catalogue.suits & needed[: catalogue.kinds, None]
    alone = np.arange(catalogue.models) == model
    covering = (here.working > 0) & ~(suits[:, [model]] & ~suits).any(axis=0)
    fewest = np.inf
    for group in (alone, alone | covering):
        kinds = suits[:, group].any(axis=1)
        load: Floats = catalogue.device_hours[:, kinds].sum(axis=1)
        short = here.greatest_load(load, ways) - float((hours * here.working)[group].sum())
        fewest = min(fewest, short)
    return max(0.0, fewest)
