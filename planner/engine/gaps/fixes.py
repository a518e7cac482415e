"""The cheapest set of actions that makes a method run at a site, and what it costs.

An action repairs a broken unit on site, buys a unit of a model that suits, trains a skill
or provides an infrastructure item at the price of the site's level. Costs are capital, in
the currency of the case; running costs and the limits of the plan play no part. One unit
meets every need that its model suits.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import compress

import numpy as np

from planner.engine.asking import ActionKind
from planner.engine.capability import Situation
from planner.engine.case import DeviceModel
from planner.engine.gaps.bundles import Bundles, Granted
from planner.engine.gaps.cover import cheapest_cover
from planner.engine.matching import Verdict
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Coded, Floats, Ints, distinct_rows


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
    """The cheapest fixes of one method at many sites.

    A model that comes in a bundle is bought only with all of it: what is worth granting for
    the sake of a bundle is tried, each time with the models that can then be bought.
    """

    def __init__(self, situation: Situation, method: int) -> None:
        case = situation.case
        needs = sorted(set(situation.suitability.method_needs[method]))
        suits: Bools = np.any(situation.suitability.suits[needs], axis=0)
        own = Granted(
            frozenset(case.methods[method].skills), frozenset(case.methods[method].infrastructure)
        )
        suiting = compress(case.device_models, suits)
        self._ways = [
            _Granting(situation, method, granted)
            for granted in Bundles(case).grants(own, suiting, len(needs))
        ]

    def costs(self, sites: Ints) -> Floats:
        """Cost of the cheapest fix at each of ``sites``, infinite where there is none."""
        cheapest: Floats = np.min([way.costs(sites) for way in self._ways], axis=0)
        return cheapest

    def fixes(self, sites: Ints) -> tuple[list[Fix | None], Ints]:
        """The distinct cheapest fixes at ``sites``, and for each site the position of its own.

        None stands for sites where no set of actions makes the method run.
        """
        if len(self._ways) == 1:
            return self._ways[0].fixes(sites)
        cheapest = np.argmin([way.costs(sites) for way in self._ways], axis=0)
        fixes: list[Fix | None] = []
        own = np.zeros(len(sites), dtype=np.int64)
        for number, way in enumerate(self._ways):
            found, group = way.fixes(sites[cheapest == number])
            own[cheapest == number] = len(fixes) + group
            fixes += found
        return fixes, own

    def fix(self, site: int) -> Fix | None:
        """The cheapest fix at ``site``; None if no set of actions makes the method run."""
        fixes, own = self.fixes(np.array([site]))
        return fixes[int(own[0])]


class _Granting:
    """The cheapest fixes of a method with the models whose bundles ``granted`` completes."""

    def __init__(self, situation: Situation, method: int, granted: Granted) -> None:
        case, self._tables = situation.case, situation.tables
        self._method = case.methods[method]
        self._need_verdicts = situation.capability.needs
        self._needs = np.array(sorted(set(situation.suitability.method_needs[method])), dtype=int)
        self._offers = _offers(situation, self._needs, granted)
        self._skills = _among(case.skills, granted.skills)
        self._items = _among(case.infrastructure, granted.infrastructure)
        self._train = [
            FixAction("train", case.skills[skill].code, case.skills[skill].training_cost)
            for skill in self._skills
        ]
        self._item_codes = [case.infrastructure[item].code for item in self._items]

    def costs(self, sites: Ints) -> Floats:
        """As those of ``MethodFixes``."""
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
        """As those of ``MethodFixes``."""
        lack = self._lack(sites)
        firsts, group = lack.alike()
        return [self._fix(lack, row) for row in firsts], group

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


def _among(entries: Iterable[Coded], codes: Collection[str]) -> Ints:
    """Positions of the entries with these codes."""
    return np.array([n for n, entry in enumerate(entries) if entry.code in codes], dtype=np.int64)


def _offers(situation: Situation, needs: Ints, granted: Granted) -> tuple[_Offer, ...]:
    """One offer for each set of ``needs`` that some model suits."""
    models, bundles = situation.case.device_models, Bundles(situation.case)
    suits = situation.suitability.suits[needs]
    prices = {
        model: bundles.price(models[model])
        if models[model].max_units != 0 and granted.completes(bundles.asked(models[model]))
        else math.inf
        for model in np.flatnonzero(suits.any(axis=0)).tolist()
    }
    together: dict[bytes, list[int]] = {}
    for model in np.flatnonzero(suits.any(axis=0)):
        together.setdefault(suits[:, model].tobytes(), []).append(int(model))
    return tuple(_offer(suits[:, alike[0]], alike, models, prices) for alike in together.values())


def _offer(
    meets: Bools, alike: Iterable[int], models: Sequence[DeviceModel], prices: Mapping[int, float]
) -> _Offer:
    """``prices`` of one unit, infinite where none may be bought."""
    cheapest = min(alike, key=lambda model: prices[model])
    price = prices[cheapest]
    bought = [cheapest] if math.isfinite(price) else []
    # Of equal costs the repair comes first: it uses what is there.
    repairable = sorted(
        (m for m in alike if models[m].repair_cost <= price and models[m].repair_success > 0),
        key=lambda model: models[model].repair_cost,
    )
    repairs = [FixAction("repair", models[m].code, models[m].repair_cost) for m in repairable]
    purchase = [FixAction("buy", models[m].code, price) for m in bought]
    flags = np.array(repairable, dtype=np.int64)
    return _Offer(meets, _bits(meets), flags, (*repairs, *purchase))


def _total(actions: Iterable[FixAction] | None) -> float:
    return math.inf if actions is None else math.fsum(action.cost for action in actions)


def _bits(flags: Bools) -> int:
    return sum(1 << position for position, flag in enumerate(flags.tolist()) if flag)
