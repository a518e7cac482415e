"""Kinds of devices, what supplies what, and what belongs together, as arrays."""

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats
from planner.engine.case import Case
from planner.engine.matching import suitability


def bundled_with(case: Case, kinds: int, actions: int) -> Bools:
    """Actions × things: what belongs to the bundle of the model that is bought."""
    bundle_of = {bundle.model: bundle for bundle in case.bundles}
    bundled = np.zeros((actions, kinds + len(case.skills) + len(case.infrastructure)), dtype=bool)
    for number, model in enumerate(case.device_models):
        if bundle := bundle_of.get(model.code):
            bundled[number, kinds:] = [
                *(skill.code in bundle.skills for skill in case.skills),
                *(item.code in bundle.infrastructure for item in case.infrastructure),
            ]
    return bundled


def kinds_of(case: Case) -> tuple[Bools, Bools, Floats]:
    """Kinds × models that suit, methods × kinds needed, methods × kinds hours of one test."""
    found = suitability(case)
    sets = [tuple(row.tolist()) for row in found.suits]
    kinds = sorted(set(sets), reverse=True)
    position = {kind: index for index, kind in enumerate(kinds)}
    needs = np.zeros((len(case.methods), len(kinds)), dtype=bool)
    hours = np.zeros((len(case.methods), len(kinds)))
    for index, (method, its_needs) in enumerate(zip(case.methods, found.method_needs, strict=True)):
        for need, number in zip(method.needs, its_needs, strict=True):
            kind = position[sets[number]]
            needs[index, kind] = True
            hours[index, kind] += need.hours
    return np.array(kinds, dtype=bool).reshape(len(kinds), len(case.device_models)), needs, hours


def supplies_of(suits: Bools, repairable: Bools, others: int) -> Bools:
    """Things × actions: what an action gives; ``others`` are skills and items, each its own."""
    kinds, models = suits.shape
    supplies = np.zeros((kinds + others, 2 * models + others), dtype=bool)
    supplies[:kinds, :models] = suits
    supplies[:kinds, models : 2 * models] = suits & repairable
    supplies[kinds:, 2 * models :] = np.eye(others, dtype=bool)
    return supplies
