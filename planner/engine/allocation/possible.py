"""What may be done at each site, at what price, and how often."""

import numpy as np

from planner.engine.allocation.arrays import (
    Bools,
    Floats,
    Ints,
)
from planner.engine.allocation.catalogue import Catalogue
from planner.engine.case import Case


def price_and_most(case: Case, broken: Floats, *, accepted: Bools) -> tuple[Floats, Ints]:
    """Sites × actions: price of one, and the greatest quantity that the case allows."""
    shape = len(case.sites), 1
    models = case.device_models
    extra = {bundle.model: bundle.cost for bundle in case.bundles}
    standards = case.limits.models_per_class
    units = [
        0
        if any(standards.get(role.device_class) == 0 for role in model.serves)
        else model.most_bought(case.limits)
        for model in models
    ]
    provide = np.array(
        [[item.cost.get(str(site.level), np.inf) for item in case.infrastructure]
         for site in case.sites]
    ).reshape(len(case.sites), len(case.infrastructure))  # fmt: skip
    price = [
        np.tile([model.price + extra.get(model.code, 0.0) for model in models], shape),
        np.tile([model.repair_cost for model in models], shape),
        np.tile([skill.training_cost for skill in case.skills], shape),
        np.where(np.isfinite(provide), provide, 0),
    ]
    most = [
        np.tile(np.where(accepted, units, 0), shape),
        np.where(accepted, broken, 0),
        np.ones((len(case.sites), len(case.skills))),
        np.isfinite(provide),
    ]
    return np.hstack(price), np.hstack(most).astype(np.int64)


def complete(catalogue: Catalogue, present: Bools, most: Ints) -> Ints:
    """``most``, with 0 for purchases whose bundle the site neither has nor can be given."""
    obtainable = (most > 0) @ catalogue.supplies.T
    out_of_reach = (~(present | obtainable)) @ catalogue.bundled.T
    return np.where(out_of_reach, 0, most)


def fixed(case: Case, catalogue: Catalogue, possible: Ints) -> tuple[Ints, Ints]:
    """Sites × actions: the quantity that must be taken, and what of ``possible`` may be."""
    least, most = np.zeros_like(possible), possible.copy()
    site_of = {site.code: index for index, site in enumerate(case.sites)}
    action_of = {action: index for index, action in enumerate(catalogue.actions)}
    for fixed in case.fixed:
        at = site_of[fixed.site], action_of[fixed.kind, fixed.item]
        least[at] = fixed.at_least
        if fixed.at_most is not None:
            most[at] = min(most[at], fixed.at_most)
    return least, most
