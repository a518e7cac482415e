"""The variables of the problem as it is stated, in PuLP, one family for every symbol.

Names are positions among sorted codes: PuLP turns ``-`` in names into ``_`` and would take
``hill-top`` and ``hill_top`` for one.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import pulp

from planner.engine.asking import LeastMoney
from planner.engine.case import Case
from planner.engine.matching import suitability
from planner.engine.tables import Coded


@dataclass
class Family:
    """The variables of one symbol by position; what can only be 0 has no variable."""

    problem: pulp.LpProblem
    symbol: str
    variables: dict[tuple[int, ...], Any] = field(default_factory=dict)

    def add(
        self, *at: int, most: float | None = None, least: float = 0, whole: bool = False
    ) -> None:
        """A variable from ``least`` to ``most`` at the position ``at``."""
        if most == 0:
            return
        name = "_".join([self.symbol, *map(str, at)])
        kind = pulp.LpInteger if whole else pulp.LpContinuous
        self.variables[at] = self.problem.add_variable(name, least, most, kind)

    def __call__(self, *at: int) -> Any:
        """The variable at ``at``, or 0."""
        return self.variables.get(at, 0)

    def __iter__(self) -> Iterator[tuple[int, ...]]:
        return iter(self.variables)


class Statement:
    """A case with its lists sorted by code, and the variables of its problem by position.

    ``buy`` and ``repair`` (site, model), ``train`` (site, skill), ``provide`` (site, item),
    ``move`` (move), ``chosen`` (model of a standardised class), ``reached`` (minimum
    set, site, test), ``met`` (target), ``on`` (site, method),
    ``volume`` (origin, site, method), ``hours`` (site, method, need
    of the method, model), ``drawn`` (programme, model). ``suiting`` has, for each method and
    each of its needs, the models that meet it; ``origins``, for each site and method, where
    the specimens may come from.
    """

    def __init__(self, case: Case) -> None:
        self.case = in_order_of_codes(case)
        self.problem = pulp.LpProblem("allocation", pulp.LpMaximize)
        self.buy, self.repair, self.train, self.provide = (
            Family(self.problem, symbol) for symbol in ("buy", "repair", "train", "provide")
        )
        self.move, self.chosen, self.reached, self.met = (
            Family(self.problem, symbol) for symbol in ("move", "chosen", "reached", "met")
        )
        self.on, self.volume, self.hours, self.drawn = (
            Family(self.problem, symbol) for symbol in ("on", "volume", "hours", "drawn")
        )
        found = suitability(self.case)
        self.suiting = [
            [[d for d, suits in enumerate(found.suits[need].tolist()) if suits] for need in needs]
            for needs in found.method_needs
        ]
        self.origins: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._stock = {(entry.site, entry.model): entry for entry in self.case.stock}
        self._fixed = {(f.site, str(f.kind), f.item): f for f in self.case.fixed}
        self._add_actions(found.accepted.tolist())
        self._add_moves()
        self._add_service()
        self._add_earmarks()
        self._add_aims()

    def units(self, s: int, d: int) -> Any:
        """Working units of model ``d`` to be expected at site ``s``: in stock, bought, repaired."""
        working, _ = self._in_stock(s, d)
        repaired = self.case.device_models[d].repair_success * self.repair(s, d)
        brought = pulp.lpSum(self.move(k) for k in self.moves_to[s, d])
        taken = pulp.lpSum(self.move(k) for k in self.moves_from[s, d])
        return self.buy(s, d) + repaired + working + brought - taken

    def demand(self, o: int, m: int) -> float:
        """Tests a year that the people of ``o`` ask for, of the test of method ``m``."""
        return self.case.sites[o].demand.get(self.case.methods[m].test, 0.0)

    def working(self, s: int, d: int) -> int:
        """Units of model ``d`` that work at site ``s`` today."""
        return self._in_stock(s, d)[0]

    def price_of_model(self, d: int) -> float:
        """What it costs to buy one unit of model ``d``, with what is paid for its bundle."""
        model = self.case.device_models[d]
        return model.price + sum(b.cost for b in self.case.bundles if b.model == model.code)

    def price_of_item(self, s: int, i: int) -> float:
        """What it costs to give infrastructure item ``i`` to site ``s``."""
        return self.case.infrastructure[i].cost[str(self.case.sites[s].level)]

    def _in_stock(self, s: int, d: int) -> tuple[int, int]:
        entry = self._stock.get((self.case.sites[s].code, self.case.device_models[d].code))
        return (0, 0) if entry is None else (entry.working, entry.broken)

    def _add_actions(self, accepted: list[bool]) -> None:
        case = self.case
        for s, site in enumerate(case.sites):
            for d, is_accepted in enumerate(accepted):
                if is_accepted:
                    most = case.device_models[d].most_bought(case.limits)
                    self._add_action(self.buy, s, d, most=most)
                    self._add_action(self.repair, s, d, most=self._in_stock(s, d)[1])
            for k, skill in enumerate(case.skills):
                self._add_action(self.train, s, k, most=skill.code not in site.skills)
            for i, item in enumerate(case.infrastructure):
                possible = item.code not in site.infrastructure and str(site.level) in item.cost
                self._add_action(self.provide, s, i, most=possible)

    def _add_action(self, family: Family, s: int, number: int, *, most: int) -> None:
        """A whole quantity, within what the case fixes of it."""
        case = self.case
        items: Sequence[Coded] = case.device_models
        if family.symbol in ("train", "provide"):
            items = case.skills if family.symbol == "train" else case.infrastructure
        asked = self._fixed.get((case.sites[s].code, family.symbol, items[number].code))
        if asked is None:
            family.add(s, number, most=most, whole=True)
        else:
            at_most = most if asked.at_most is None else min(most, asked.at_most)
            family.add(s, number, least=asked.at_least, most=at_most, whole=True)

    def _add_moves(self) -> None:
        """Moves, and for each model of a class that is to be standardised whether it is bought."""
        site = {each.code: s for s, each in enumerate(self.case.sites)}
        model = {each.code: d for d, each in enumerate(self.case.device_models)}
        self.moves_to: dict[tuple[int, int], list[int]] = defaultdict(list)
        self.moves_from: dict[tuple[int, int], list[int]] = defaultdict(list)
        for k, move in enumerate(self.case.moves):
            self.move.add(k, most=move.units, whole=True)
            self.moves_to[site[move.to], model[move.model]].append(k)
            self.moves_from[site[move.origin], model[move.model]].append(k)
        for d, each in enumerate(self.case.device_models):
            if any(role.device_class in self.case.limits.models_per_class for role in each.serves):
                self.chosen.add(d, most=1, whole=True)

    def _add_service(self) -> None:
        """Volumes where there is demand and a way to travel, and what they need to run."""
        longest = {test.code: test.max_transport_hours for test in self.case.tests}
        for o, s, hours in self._routes():
            for m, method in enumerate(self.case.methods):
                most_hours = 0.0 if o == s else longest[method.test]
                if self.demand(o, m) > 0 and most_hours is not None and hours <= most_hours:
                    self.volume.add(o, s, m)
        for o, s, m in sorted(self.volume):
            self.origins[s, m].append(o)
        # A repair that may fail lets a method run for a share of the demand.
        sure = all(model.repair_success == 1 for model in self.case.device_models)
        for s, m in sorted(self.origins):
            self.on.add(s, m, most=1, whole=sure)
            for n, models in enumerate(self.suiting[m]):
                for d in models:
                    self.hours.add(s, m, n, d)

    def _add_aims(self) -> None:
        """Whether a site reaches a test of a minimum set, and in which part targets are met."""
        test = {each.code: t for t, each in enumerate(self.case.tests)}
        for number, minimum in enumerate(self.case.minimum_sets):
            for s, site in enumerate(self.case.sites):
                for code in minimum.tests if site.level in minimum.levels else ():
                    if site.demand.get(code, 0.0) > 0:
                        self.reached.add(number, s, test[code], most=1, whole=True)
        if isinstance(self.case.aim, LeastMoney):
            for number in range(len(self.case.aim.targets)):
                self.met.add(number, most=1)

    def _routes(self) -> Iterator[tuple[int, int, float]]:
        """From where, to where, and hours on the way: within each site, and over links."""
        position = {site.code: s for s, site in enumerate(self.case.sites)}
        for s in position.values():
            yield s, s, 0.0
        for link in self.case.links:
            if link.origin != link.to:
                yield position[link.origin], position[link.to], link.hours

    def _add_earmarks(self) -> None:
        for p, programme in enumerate(self.case.programmes):
            if self.case.limits.earmarks.get(programme.code, 0.0) > 0:
                for d, model in enumerate(self.case.device_models):
                    if programme.code in model.programmes:
                        self.drawn.add(p, d)


def in_order_of_codes(case: Case) -> Case:
    """The same case with its lists sorted, so that their order means nothing."""
    coded = ("areas", "programmes", "skills", "infrastructure", "device_models", "tests",
             "methods", "sites")  # fmt: skip
    lists = {name: sorted(getattr(case, name), key=lambda entry: entry.code) for name in coded}
    links = sorted(case.links, key=lambda link: (link.origin, link.to))
    moves = sorted(case.moves, key=lambda move: (move.origin, move.to, move.model))
    ordered = {name: tuple(entries) for name, entries in lists.items()}
    return case.model_copy(update={**ordered, "links": tuple(links), "moves": tuple(moves)})
