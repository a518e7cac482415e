"""Tests, methods and actions as arrays: what holds at every site.

Methods are sorted by test, then code. Two axes need a word. A *thing* is what a method may
lack at a site: a kind of device (a set of suiting models; needs with the same set are one
kind), a skill, an infrastructure item, in this order. An *action* is what money can do at a
site: buy a model, repair a model, train a skill, provide an item, in this order.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints, membership, positions
from planner.engine.allocation.kinds import bundled_with, kinds_of, supplies_of
from planner.engine.asking import ActionKind
from planner.engine.case import Case


@dataclass(frozen=True)
class Catalogue:
    """What holds at every site.

    Shapes: ``test_of``, ``value`` (worth of one test), ``counts`` (whether one is any good),
    ``staff_hours`` and ``consumable_cost`` (of one test) are methods; ``needs`` methods × things;
    ``device_hours`` methods × kinds, hours of one test; ``suits`` kinds × models;
    ``supplies`` things × actions; ``annual_cost``, ``trainer_days``, ``unit_hours``
    (machine hours a year of one) and ``presence`` (working units that one gives, below 1 for
    repairs that may fail) actions; ``bundled`` actions × things, what must be there where the
    action is taken; ``payable`` actions × earmarks.
    ``actions`` names each action by kind and code of the item.
    """

    tests: tuple[str, ...]
    methods: tuple[str, ...]
    actions: tuple[tuple[ActionKind, str], ...]
    test_of: Ints
    value: Floats
    staff_hours: Floats
    consumable_cost: Floats
    needs: Bools
    device_hours: Floats
    suits: Bools
    supplies: Bools
    annual_cost: Floats
    trainer_days: Floats
    unit_hours: Floats
    presence: Floats
    bundled: Bools
    payable: Bools
    best_value: Floats
    counts: Bools

    @cached_property
    def within(self) -> Bools:
        """Kinds × kinds: every model that suits the first suits the second."""
        beyond: Bools = np.any(self.suits[:, None, :] & ~self.suits[None, :, :], axis=2)
        return ~beyond

    @property
    def kinds(self) -> int:
        return len(self.suits)

    @property
    def models(self) -> int:
        return int(self.suits.shape[1])


def catalogue_of(case: Case, programmes: tuple[str, ...]) -> Catalogue:
    """The arrays of a sorted ``case``; ``programmes`` are those with an earmark above 0."""
    suits, needs_kind, device_hours = kinds_of(case)
    models, skills, items = case.device_models, case.skills, case.infrastructure
    weight = {test.code: test.weight for test in case.tests}
    value = np.array([weight[m.test] * m.sensitivity for m in case.methods], dtype=float)
    test_of = positions((m.test for m in case.methods), (t.code for t in case.tests))
    needs = [
        needs_kind,
        membership((m.skills for m in case.methods), (skill.code for skill in skills)),
        membership((m.infrastructure for m in case.methods), (item.code for item in items)),
    ]
    minimum = {test for each in case.minimum_sets for test in each.tests}
    best_value = np.zeros(len(case.tests))
    np.maximum.at(best_value, test_of, value)
    rest = [0.0] * (len(skills) + len(items))
    hours = np.array([model.hours_up for model in models])
    success = np.array([model.repair_success for model in models])
    return Catalogue(
        tests=tuple(test.code for test in case.tests),
        methods=tuple(method.code for method in case.methods),
        actions=_actions(case),
        test_of=test_of,
        value=value,
        staff_hours=np.array([m.staff_hours for m in case.methods], dtype=float),
        consumable_cost=np.array([m.consumable_cost for m in case.methods], dtype=float),
        needs=np.hstack(needs),
        device_hours=device_hours,
        suits=suits,
        supplies=supplies_of(suits, success > 0, len(skills) + len(items)),
        annual_cost=np.array(
            [model.annual_cost for model in models] * 2
            + [skill.supervision_cost * case.limits.supervised_share for skill in skills]
            + [0.0] * len(items)
        ),
        trainer_days=np.array(
            [0.0] * (2 * len(models)) + [s.trainer_days for s in skills] + [0.0] * len(items)
        ),
        unit_hours=np.concatenate([hours, hours * success, rest]),
        presence=np.concatenate([np.ones(len(models)), success, np.ones(len(rest))]),
        bundled=bundled_with(case, len(suits), 2 * len(models) + len(rest)),
        payable=np.vstack(
            [membership((model.programmes for model in models), programmes)] * 2
            + [np.zeros((len(rest), len(programmes)), dtype=bool)]
        ),
        best_value=best_value,
        counts=(value > 0) | np.array([m.test in minimum for m in case.methods], dtype=bool),
    )


def _actions(case: Case) -> tuple[tuple[ActionKind, str], ...]:
    models = [model.code for model in case.device_models]
    return (
        *(("buy", code) for code in models),
        *(("repair", code) for code in models),
        *(("train", skill.code) for skill in case.skills),
        *(("provide", item.code) for item in case.infrastructure),
    )
