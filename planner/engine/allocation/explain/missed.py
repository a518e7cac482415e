"""Why not that site: its best package, and the price at which it would have been taken.

Of everything that money could do at a site that got nothing, the package that brings most
for its money is found exactly (Dinkelbach's method on the site's own program). Money brought
more elsewhere: what it brings is the price of money, an interval. At the package's own worth
over that price it would have been taken. Only capital is priced: running money, trainer days
and limits that sites share otherwise are left aside.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.instance import Instance, instance_of
from planner.engine.allocation.kernel import Prices
from planner.engine.allocation.national.exact import PartProgram, part_program
from planner.engine.allocation.national.part import own_arcs
from planner.engine.allocation.progress import Watch
from planner.engine.asking import MOST
from planner.engine.case import Action, Case, Result, Site

_ROUNDS = 30
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Missed:
    """The package of a site without actions that brings most for its money, by itself.

    ``worth_per_year`` is what it adds to weighted correct tests of the site's own people,
    ``per_1000`` that for 1 000 of its ``cost``. Money brings ``price_least`` to
    ``price_most`` per 1 000 elsewhere, so it would be taken at a cost below
    ``taken_below_least`` and perhaps up to ``taken_below_most``. Where that is its cost or
    more, it was something else than capital that stood in the way.
    """

    site: str
    actions: tuple[Action, ...]
    cost: float
    worth_per_year: float
    per_1000: float
    price_least: float
    price_most: float
    taken_below_least: float
    taken_below_most: float
    text: str


def missed(
    case: Case, result: Result, *, price: tuple[float, float], seconds: float = 60.0
) -> tuple[Missed, ...]:
    """For each site where ``result`` does nothing and something would help, what it missed.

    ``price`` is what 1 000 of money bring at the plan's budget, at least and at most, as
    ``frontier`` and ``limit_costs`` find it. Those with most for their money come first.
    """
    watch = Watch(seconds)
    busy = {action.site for action in result.actions}
    idle = [site for site in case.sites if site.code not in busy]
    alone = _left_to_each(case, result)
    instance = _free(instance_of(alone))
    names = {site.code: site for site in idle}
    found = [
        _missed(case, names[code], instance, number, price, watch)
        for number, code in enumerate(instance.places.sites)
        if code in names and watch.left > 0
    ]
    there = [each for each in found if each is not None]
    return tuple(sorted(there, key=lambda each: (-each.per_1000, each.site)))


def _left_to_each(case: Case, result: Result) -> Case:
    """Each site by itself, with the demand of its people that no other site meets."""
    tests = {method.code: method.test for method in case.methods}
    elsewhere: defaultdict[tuple[str, str], float] = defaultdict(float)
    for volume in result.volumes:
        if volume.origin != volume.at:
            elsewhere[volume.origin, tests[volume.method]] += volume.per_year
    sites = tuple(
        site.model_copy(
            update={
                "demand": {
                    test: max(0.0, asked - elsewhere[site.code, test])
                    for test, asked in site.demand.items()
                }
            }
        )
        for site in case.sites
    )
    return case.model_copy(
        update={"sites": sites, "links": (), "moves": (), "minimum_sets": (), "aim": MOST}
    )


def _free(instance: Instance) -> Instance:
    """The same where money and trainers for everything are there."""
    everything = float((instance.places.most * instance.places.price).sum())
    bounds = replace(
        instance.bounds, capital=everything, recurrent=np.inf, trainer_days=np.inf, standards=()
    )
    return replace(instance, bounds=bounds)


def _missed(
    case: Case, site: Site, instance: Instance, number: int, price: tuple[float, float],
    watch: Watch,
) -> Missed | None:  # fmt: skip
    program = part_program(instance, np.array([number]), own_arcs(instance)[[number]])
    best = _densest(program, instance, number, watch)
    if best is None:
        return None
    quantities, worth = best
    cost = float(quantities @ program.price)
    per_1000 = 1000 * worth / cost if cost > 0 else np.inf
    below = sorted(1000 * worth / end if end > 0 else np.inf for end in price)
    actions = tuple(_actions(program, instance, quantities, site))
    text = _in_words(case, site, actions, cost, per_1000, (below[0], below[1]), price)
    return Missed(
        site.code, actions, cost, worth, per_1000, price[0], price[1], below[0], below[1], text
    )


def _densest(
    program: PartProgram, instance: Instance, number: int, watch: Watch
) -> tuple[Ints, float] | None:
    """Quantities that bring most per money beyond what is done without, and what they bring.

    At a price equal to the best ratio so far, the best net worth is above today's as long as
    there is a better ratio; the ratio of what it takes is the next price (Dinkelbach 1967).
    """
    actions = len(instance.catalogue.actions)
    nothing = _worth(program, program.as_it_is(), 0.0, actions, watch)
    if nothing is None:
        return None
    today, ratio, best = nothing[1], 0.0, None
    for _ in range(_ROUNDS):
        found = _worth(program, program, ratio, actions, watch)
        if found is None:
            break
        quantities, worth = found
        cost = float(quantities @ program.price)
        if worth - today - ratio * cost <= _CLOSE * max(1.0, worth):
            break
        best = quantities, worth - today
        if cost <= 0:
            break
        ratio = (worth - today) / cost
    return best


def _worth(
    program: PartProgram, at: PartProgram, price: float, actions: int, watch: Watch
) -> tuple[Ints, float] | None:
    prices = Prices(np.full(actions, price), np.zeros(actions), 0.0, np.ones(1))
    answer = at.best(prices, 1.0, watch, gap=0.0, nodes=None, seconds=watch.left)
    if answer.x is None:
        return None
    shares: Floats = answer.x[program.share_column]
    return program.quantities(answer.x), float(program.worth @ shares)


def _actions(
    program: PartProgram, instance: Instance, quantities: Ints, site: Site
) -> Iterator[Action]:
    for column in np.flatnonzero(quantities):
        kind, item = instance.catalogue.actions[program.action[column]]
        quantity = int(quantities[column])
        cost = quantity * float(program.price[column])
        yield Action(site=site.code, kind=kind, item=item, quantity=quantity, cost=cost)


def _in_words(
    case: Case, site: Site, actions: tuple[Action, ...], cost: float, per_1000: float,
    below: tuple[float, float], price: tuple[float, float],
) -> str:  # fmt: skip
    what = ", ".join(f"{each.kind} {each.item}" for each in actions)
    money = case.currency
    brings = f"{site.name}: {what} for {cost:,.0f} {money} would bring {per_1000:,.1f} per 1 000"
    if cost <= below[0]:
        return f"{brings}; money was not what stood in the way."
    elsewhere = f"{price[0]:,.1f} to {price[1]:,.1f}"
    if cost <= below[1]:
        return f"{brings}; elsewhere money brings {elsewhere}, too close to tell apart."
    return (
        f"{brings}; elsewhere money brings {elsewhere}. It would have been taken at "
        f"{below[0]:,.0f} {money}, perhaps at {below[1]:,.0f}."
    )
