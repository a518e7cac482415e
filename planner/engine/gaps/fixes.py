"""The cheapest set of actions that makes a method run at a site, and what it costs.

An action repairs a broken unit on site, buys a unit of a model that suits, trains a skill
or provides an infrastructure item at the price of the site's level. Costs are capital, in
the currency of the case; running costs and the limits of the plan play no part. One unit
meets every need that its model suits.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import compress

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

    ``meets`` are those needs, as flags and as ``bits`` of a whole number. ``actions`` run
    from the cheapest on: repairs of the models at ``repairable``, which a site has only
    where it holds such a broken unit, and last the cheapest purchase, if one may be bought.
    """

    meets: Bools
    bits: int
    repairable: Ints
    actions: tuple[FixAction, ...]

    def cheapest(self, at_hand: Bools) -> Ints:
        """Position of the cheapest action; ``at_hand`` is sites × ``repairable``.

        Where there is none it is the number of ``repairable``, at which no action stands
        if nothing may be bought.
        """
        always = np.ones((len(at_hand), 1), dtype=bool)
        first: Ints = np.hstack([at_hand, always]).argmax(axis=1)
        return first


@dataclass(frozen=True)
class _Lack:
    """What several sites lack for a method, one row for each site.

    ``unmet`` (sites, needs): no working unit is known to meet it. ``ways`` (sites, offers):
    position of the cheapest action; 0 where the offer meets nothing that is unmet, so that
    sites do not differ by what does not matter. ``untrained`` (sites, skills), ``absent``
    (sites, items). ``prices`` (sites, items): money for what is absent, else 0.
    """

    unmet: Bools
    ways: Ints
    untrained: Bools
    absent: Bools
    prices: Floats

    def alike_in_devices(self) -> tuple[Ints, Ints]:
        """Rows that lack the same needs and get them alike, grouped as by ``distinct_rows``."""
        return distinct_rows([*self.unmet.T.astype(np.int64), *self.ways.T], len(self.unmet))

    def alike(self) -> tuple[Ints, Ints]:
        """Rows that lack the same in all, at the same prices, grouped as by ``distinct_rows``."""
        flags = [self.unmet, self.untrained, self.absent]
        prices = [np.unique(column, return_inverse=True)[1] for column in self.prices.T]
        columns = [column for each in flags for column in each.T.astype(np.int64)]
        return distinct_rows([*columns, *self.ways.T, *prices], len(self.unmet))


class MethodFixes:
    """The cheapest fixes of one method at many sites."""

    def __init__(self, situation: Situation, method: int) -> None:
        case, self._tables = situation.case, situation.tables
        self._method = case.methods[method]
        self._need_verdicts = situation.capability.needs
        self._needs = np.array(sorted(set(situation.suitability.method_needs[method])), dtype=int)
        self._offers = _offers(situation.suitability.suits[self._needs], case.device_models)
        self._skills = np.flatnonzero(self._tables.method_skills[method])
        self._items = np.flatnonzero(self._tables.method_infrastructure[method])
        self._train = [
            FixAction("train", case.skills[skill].code, case.skills[skill].training_cost)
            for skill in self._skills
        ]
        self._item_codes = [case.infrastructure[item].code for item in self._items]

    def costs(self, sites: Ints) -> Floats:
        """Cost of the cheapest fix at each of ``sites``, infinite where there is none."""
        lack = self._lack(sites)
        firsts, group = lack.alike_in_devices()
        devices = [_total(self._devices(lack, row)) for row in firsts]
        training = np.array([action.cost for action in self._train], dtype=float)
        costs: Floats = (
            np.array(devices, dtype=float)[group]
            + lack.untrained @ training
            + lack.prices.sum(axis=1)
        )
        return costs

    def fixes(self, sites: Ints) -> tuple[list[Fix | None], Ints]:
        """The distinct cheapest fixes at ``sites``, and for each site the position of its own.

        None stands for sites where no set of actions makes the method run.
        """
        lack = self._lack(sites)
        firsts, group = lack.alike()
        return [self._fix(lack, row) for row in firsts], group

    def fix(self, site: int) -> Fix | None:
        """The cheapest fix at ``site``; None if no set of actions makes the method run."""
        return self.fixes(np.array([site]))[0][0]

    def _lack(self, sites: Ints) -> _Lack:
        unmet: Bools = self._need_verdicts[np.ix_(sites, self._needs)] != Verdict.MET
        ways = np.zeros((len(sites), len(self._offers)), dtype=np.int64)
        for column, offer in zip(ways.T, self._offers, strict=True):
            useful = (unmet & offer.meets).any(axis=1)
            at_hand = self._tables.broken[np.ix_(sites[useful], offer.repairable)]
            column[useful] = offer.cheapest(at_hand)
        untrained: Bools = ~self._tables.skills[np.ix_(sites, self._skills)]
        absent: Bools = ~self._tables.infrastructure[np.ix_(sites, self._items)]
        prices = np.where(absent, self._tables.provide_cost[np.ix_(sites, self._items)], 0.0)
        return _Lack(unmet, ways, untrained, absent, prices)

    def _fix(self, lack: _Lack, row: int) -> Fix | None:
        devices = self._devices(lack, row)
        provision = [
            FixAction("provide", code, float(price))
            for code, price, absent in zip(
                self._item_codes, lack.prices[row], lack.absent[row], strict=True
            )
            if absent
        ]
        training = list(compress(self._train, lack.untrained[row]))
        if devices is None or math.isinf(_total(provision)):
            return None
        actions = (*devices, *training, *provision)
        return Fix(self._method.code, actions, _total(actions))

    def _devices(self, lack: _Lack, row: int) -> tuple[FixAction, ...] | None:
        """The cheapest actions that meet every need that is unmet in ``row``."""
        offers = [
            (offer.bits, offer.actions[way])
            for offer, way in zip(self._offers, lack.ways[row], strict=True)
            if way < len(offer.actions)
        ]
        actions = [action for _, action in offers]
        wanted = _bits(lack.unmet[row])
        priced = [(bits & wanted, action.cost) for bits, action in offers]
        cover = cheapest_cover(wanted, priced)
        return None if cover is None else tuple(actions[position] for position in cover.chosen)


def _offers(suits: Bools, models: Sequence[DeviceModel]) -> tuple[_Offer, ...]:
    """One offer for each set of needs that some model suits; ``suits`` is needs × models."""
    together: dict[bytes, list[int]] = {}
    for model in np.flatnonzero(suits.any(axis=0)):
        together.setdefault(suits[:, model].tobytes(), []).append(int(model))
    return tuple(_offer(suits[:, alike[0]], alike, models) for alike in together.values())


def _offer(meets: Bools, alike: Iterable[int], models: Sequence[DeviceModel]) -> _Offer:
    for_sale = [model for model in alike if models[model].max_units != 0]
    bought = sorted(for_sale, key=lambda model: models[model].price)[:1]
    price = min((models[model].price for model in bought), default=math.inf)
    # Of equal costs the repair comes first: it uses what is there.
    repairable = sorted(
        (m for m in alike if models[m].repair_cost <= price and models[m].repair_success > 0),
        key=lambda model: models[model].repair_cost,
    )
    repairs = [FixAction("repair", models[m].code, models[m].repair_cost) for m in repairable]
    purchase = [FixAction("buy", models[m].code, models[m].price) for m in bought]
    flags = np.array(repairable, dtype=np.int64)
    return _Offer(meets, _bits(meets), flags, (*repairs, *purchase))


def _total(actions: Iterable[FixAction] | None) -> float:
    return math.inf if actions is None else math.fsum(action.cost for action in actions)


def _bits(flags: Bools) -> int:
    return sum(1 << position for position, flag in enumerate(flags.tolist()) if flag)
