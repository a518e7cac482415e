"""The cheapest set of actions that makes a method run at a site, and what it costs.

An action repairs a broken unit on site, buys a unit of a model that suits, trains a skill
or provides an infrastructure item at the price of the site's level. Costs are capital, in
the currency of the case; running costs and the limits of the plan play no part. One unit
meets every need that its model suits.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.engine.capability import Situation
from planner.engine.case import ActionKind, DeviceModel
from planner.engine.gaps.cover import cheapest_cover
from planner.engine.matching import Verdict
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Floats, Ints, distinct_rows


@dataclass(frozen=True, slots=True)
class FixAction:
    """One thing to do at the site: ``item`` is the code of a model, a skill or an item."""

    kind: ActionKind
    item: str
    cost: float


@dataclass(frozen=True, slots=True)
class Fix:
    """Everything that makes ``method`` run, with the total cost of ``actions``."""

    method: str
    actions: tuple[FixAction, ...]
    cost: float


@dataclass(frozen=True)
class _Offer:
    """Models that suit the same of a method's needs: the cheapest way to one unit of them.

    ``actions`` run from the cheapest on: repairs of the models at ``repairable``, which a
    site has only where it holds such a broken unit, and last the cheapest purchase.
    """

    meets: Bools
    repairable: Ints
    actions: tuple[FixAction, ...]

    def cheapest(self, at_hand: Bools) -> Ints:
        """Position of the cheapest action; ``at_hand`` is sites × ``repairable``."""
        always = np.ones((len(at_hand), 1), dtype=bool)
        first: Ints = np.hstack([at_hand, always]).argmax(axis=1)
        return first


class MethodFixes:
    """The cheapest fixes of one method, at many sites at once or in full at one."""

    def __init__(self, situation: Situation, method: int) -> None:
        self._case, self._tables = situation.case, situation.tables
        self._need_verdicts = situation.capability.needs
        self._method = self._case.methods[method]
        self._needs = np.array(sorted(set(situation.suitability.method_needs[method])), dtype=int)
        suits = situation.suitability.suits[self._needs]
        self._offers = _offers(suits, self._case.device_models)
        self._skills = np.flatnonzero(self._tables.method_skills[method])
        self._items = np.flatnonzero(self._tables.method_infrastructure[method])

    def costs(self, sites: Ints) -> Floats:
        """Cost of the cheapest fix at each of ``sites``, infinite where there is none."""
        skills = self._case.skills
        training = np.array([skills[skill].training_cost for skill in self._skills], dtype=float)
        prices = self._tables.provide_cost[np.ix_(sites, self._items)]
        provision: Floats = np.where(self._absent(sites), prices, 0.0).sum(axis=1)
        costs: Floats = self._device_costs(sites) + self._untrained(sites) @ training + provision
        return costs

    def groups(self, sites: Ints) -> tuple[Ints, Ints]:
        """Positions of one site of each group with the same actions, and each site's group."""
        columns = [*self._devices(sites), self._untrained(sites), self._absent(sites)]
        return distinct_rows(
            [column for table in columns for column in table.T.astype(np.int64)], len(sites)
        )

    def fix(self, site: int) -> Fix | None:
        """The cheapest fix at ``site`` in full; None if no set of actions makes it run."""
        here = np.array([site])
        devices = self._device_actions(*(facts[0] for facts in self._devices(here)))
        provision = [
            FixAction("provide", self._case.infrastructure[item].code, price)
            for item in self._items[self._absent(here)[0]]
            if (price := float(self._tables.provide_cost[site, item])) < math.inf
        ]
        if devices is None or len(provision) < self._absent(here).sum():
            return None
        skills = [self._case.skills[skill] for skill in self._skills[self._untrained(here)[0]]]
        training = [FixAction("train", skill.code, skill.training_cost) for skill in skills]
        actions = (*devices, *training, *provision)
        return Fix(self._method.code, actions, math.fsum(action.cost for action in actions))

    def _untrained(self, sites: Ints) -> Bools:
        return ~self._tables.skills[np.ix_(sites, self._skills)]

    def _absent(self, sites: Ints) -> Bools:
        return ~self._tables.infrastructure[np.ix_(sites, self._items)]

    def _devices(self, sites: Ints) -> tuple[Bools, Ints]:
        """What each site lacks and how it would get it: needs that no working unit is known
        to meet (sites, needs), and the cheapest action of each offer (sites, offers).

        The action is given as 0 where the offer meets nothing that is lacking, so that
        sites do not differ by what does not matter.
        """
        unmet: Bools = self._need_verdicts[np.ix_(sites, self._needs)] != Verdict.MET
        ways = np.zeros((len(sites), len(self._offers)), dtype=np.int64)
        for column, offer in zip(ways.T, self._offers, strict=True):
            useful = (unmet & offer.meets).any(axis=1)
            at_hand = self._tables.broken[np.ix_(sites[useful], offer.repairable)]
            column[useful] = offer.cheapest(at_hand)
        return unmet, ways

    def _device_costs(self, sites: Ints) -> Floats:
        """Sites that lack the same and have the same ways to get it are worked out once."""
        unmet, ways = self._devices(sites)
        firsts, group = distinct_rows([*unmet.T.astype(np.int64), *ways.T], len(sites))
        costs = [_total(self._device_actions(unmet[row], ways[row])) for row in firsts]
        return np.array(costs, dtype=float)[group]

    def _device_actions(self, unmet: Bools, ways: Ints) -> tuple[FixAction, ...] | None:
        actions = [offer.actions[way] for offer, way in zip(self._offers, ways, strict=True)]
        meets = [_bits(offer.meets & unmet) for offer in self._offers]
        priced = [(bits, action.cost) for bits, action in zip(meets, actions, strict=True)]
        cover = cheapest_cover(_bits(unmet), priced)
        return None if cover is None else tuple(actions[position] for position in cover.chosen)


def _offers(suits: Bools, models: Sequence[DeviceModel]) -> tuple[_Offer, ...]:
    """One offer for each set of needs that some model suits; ``suits`` is needs × models."""
    together: dict[bytes, list[int]] = {}
    for model in np.flatnonzero(suits.any(axis=0)):
        together.setdefault(suits[:, model].tobytes(), []).append(int(model))
    return tuple(_offer(suits[:, alike[0]], alike, models) for alike in together.values())


def _offer(meets: Bools, alike: Iterable[int], models: Sequence[DeviceModel]) -> _Offer:
    bought = min(alike, key=lambda model: models[model].price)
    price = models[bought].price
    # Of equal costs the repair comes first: it uses what is there.
    repairable = sorted(
        (model for model in alike if models[model].repair_cost <= price),
        key=lambda model: models[model].repair_cost,
    )
    repairs = [FixAction("repair", models[m].code, models[m].repair_cost) for m in repairable]
    actions = (*repairs, FixAction("buy", models[bought].code, price))
    return _Offer(meets, np.array(repairable, dtype=np.int64), actions)


def _total(actions: tuple[FixAction, ...] | None) -> float:
    return math.inf if actions is None else math.fsum(action.cost for action in actions)


def _bits(flags: Bools) -> int:
    return sum(1 << int(position) for position in np.flatnonzero(flags))
