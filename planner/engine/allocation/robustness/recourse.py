"""What becomes of a fixed plan in a future: what is still paid for, and what that is worth.

Packages of the plan (actions of a site that belong together) have an order of merit: worth a
year for their cost, both as the plan was made. In a future each is taken in this order if
capital, earmarks, trainer days and running money still pay for it, and left out whole if not:
a plan that overspends is scaled down by reverse merit. Then volumes are chosen anew,
the best there are: how much is done of what is a matter of each day, purchases are not.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.asked import Asked
from planner.engine.allocation.backend import highs
from planner.engine.allocation.explain.packages import Package
from planner.engine.allocation.funds import drawn
from planner.engine.allocation.instance import Instance, instance_of
from planner.engine.allocation.national.country import country_of
from planner.engine.allocation.national.split import today_of
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.robustness.draws import Draw
from planner.engine.allocation.tight import tight_model
from planner.engine.case import Action, Case, Stock
from planner.engine.errors import NoPlanError

_ROUNDING = 1e-9  # relative
_SECONDS = 600.0


@dataclass(frozen=True)
class FixedPlan:
    """The actions of a plan in the order of merit, package by package."""

    packages: tuple[tuple[Action, ...], ...]


def by_merit(packages: Sequence[Package]) -> FixedPlan:
    """Those with most worth for their cost first; what costs nothing before all else."""

    def rank(package: Package) -> tuple[float, str, str]:
        per_money = package.worth_per_year / package.cost if package.cost > 0 else np.inf
        return -per_money, package.site, package.actions[0].item

    return FixedPlan(tuple(package.actions for package in sorted(packages, key=rank)))


def value_in(plan: FixedPlan, draw: Draw) -> tuple[float, bool]:
    """What ``plan`` is worth a year in the future ``draw``, and whether all of it is paid for.

    Raises ``NoPlanError``.
    """
    books = _Books(draw)
    taken = [books.take(actions) for actions in plan.packages]
    return worth_of_service(books.case_after()), all(taken)


def worth_of_service(case: Case) -> float:
    """The most that sites can do with what they have: a linear program, solved exactly.

    Without links each site is solved by itself at the price of running money; else all
    together. Raises ``NoPlanError`` if the solver does not finish.
    """
    instance = _as_it_is(instance_of(case))
    watch = Watch(_SECONDS)
    country = None if case.links else country_of(instance)
    if country is not None:
        return today_of(country, watch)
    model = tight_model(instance)
    answer = highs.maximise(model.program, watch)
    if answer.x is None:
        raise NoPlanError(
            f"What can be done with given devices was not found within {_SECONDS:.0f} s.",
            remedy="Study fewer sites at once.",
        )
    return answer.value


def _as_it_is(instance: Instance) -> Instance:
    places, bounds = instance.places, instance.bounds
    return replace(
        instance,
        places=replace(places, least=np.zeros_like(places.least), most=np.zeros_like(places.most)),
        bounds=replace(bounds, floor=np.zeros_like(bounds.floor), standards=()),
        moves=instance.moves.without(),
        asked=Asked(),
    )


class _Books:
    """What a plan has spent in a future so far, and what it has got for it."""

    def __init__(self, draw: Draw) -> None:
        self.case, self.repairs = draw.case, draw.repairs
        self.instance = instance_of(draw.case)
        self.catalogue = self.instance.catalogue
        self.action = {each: number for number, each in enumerate(self.catalogue.actions)}
        self.site = {code: number for number, code in enumerate(self.instance.places.sites)}
        self.spent = np.zeros(len(self.catalogue.actions))
        self.moving = self.upkeep = self.days = 0.0
        self.units: Counter[tuple[str, str]] = Counter()
        self.given: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
        self.tried: Counter[tuple[str, str]] = Counter()
        self.working = {(s.site, s.model): s.working for s in draw.case.stock}
        self.transport = {(m.origin, m.to, m.model): m.cost for m in draw.case.moves}

    def take(self, actions: Sequence[Action]) -> bool:
        """All of ``actions`` if they can be paid for, else none; whether they were taken."""
        spent, moving, upkeep, days = self.spent.copy(), self.moving, self.upkeep, self.days
        taken = []
        for action in actions:
            quantity = self._possible(action)
            if action.moved_from is not None:
                moving += quantity * self.transport[action.moved_from, action.site, action.item]
            elif action.kind != "move":
                number = self.action[action.kind, action.item]
                price = self.instance.places.price[self.site[action.site], number]
                spent[number] += quantity * price
                upkeep += quantity * self.catalogue.annual_cost[number]
                days += quantity * self.catalogue.trainer_days[number]
            taken.append((action, quantity))
        if not self._pays(spent, moving, upkeep, days):
            return False
        self.spent, self.moving, self.upkeep, self.days = spent, moving, upkeep, days
        for action, quantity in taken:
            self._get(action, quantity)
        return True

    def _possible(self, action: Action) -> int:
        """A repair needs a broken unit, a move one that works; all else can be done."""
        at = action.site, action.item
        if action.kind == "repair":
            return min(action.quantity, len(self.repairs.get(at, ())) - self.tried[at])
        if action.moved_from is not None:
            source = action.moved_from, action.item
            return min(action.quantity, self.working.get(source, 0) + min(0, self.units[source]))
        return action.quantity

    def _pays(self, spent: Floats, moving: float, upkeep: float, days: float) -> bool:
        bounds = self.instance.bounds
        capital = drawn(self.instance, spent).capital + moving
        within = (
            (capital, bounds.capital), (upkeep, bounds.recurrent), (days, bounds.trainer_days)
        )  # fmt: skip
        return all(used <= limit * (1 + _ROUNDING) for used, limit in within)

    def _get(self, action: Action, quantity: int) -> None:
        at = action.site, action.item
        if action.kind in ("train", "provide"):
            self.given[action.site, str(action.kind)].append(action.item)
            return
        if action.kind == "repair":
            first = self.tried[at]
            self.tried[at] += quantity
            quantity = sum(self.repairs.get(at, ())[first : first + quantity])
        self.units[at] += quantity
        if action.moved_from is not None:
            self.units[action.moved_from, action.item] -= quantity

    def case_after(self) -> Case:
        """The future once all that was taken is there, with the running money that is left."""
        case = self.case
        stock = {**self.working}
        for at, units in self.units.items():
            stock[at] = stock.get(at, 0) + units
        sites = tuple(
            site.model_copy(
                update={
                    "skills": _joined(site.skills, self.given[site.code, "train"]),
                    "infrastructure": _joined(
                        site.infrastructure, self.given[site.code, "provide"]
                    ),
                }
            )
            for site in case.sites
        )
        limits = case.limits
        if limits.recurrent is not None:
            left = max(0.0, limits.recurrent - self.upkeep)
            limits = limits.model_copy(update={"recurrent": left})
        held = tuple(
            Stock(site=site, model=model, working=number, broken=0)
            for (site, model), number in sorted(stock.items())
        )
        return case.model_copy(
            update={"sites": sites, "stock": held, "limits": limits, "fixed": (), "moves": ()}
        )


def _joined(had: Sequence[str], given: Sequence[str]) -> tuple[str, ...]:
    return (*had, *(code for code in sorted(set(given)) if code not in had))
