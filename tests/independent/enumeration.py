"""The optimum of a small case by trying every affordable set of actions.

Nothing is a variable here but the volumes and the split of machine hours: what a set of
actions costs, whether the funds can pay it and what it makes possible is plain arithmetic,
and the best use of what stands there is a linear program (``scipy.optimize.linprog``).
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, combinations, product

import numpy as np
from scipy.optimize import linprog

from planner.engine.case import Case, Method, Site, Stock
from tests.independent.suiting import is_graded, suiting_models

Action = tuple[str, str]  # kind, item
INFEASIBLE = 2


@dataclass(frozen=True)
class Package:
    """What is done at one site, and what then stands there."""

    costs: tuple[tuple[float, frozenset[str]], ...]  # amount, earmarks that may pay it
    recurrent: float
    trainer_days: float
    units: Mapping[str, float]
    runs: frozenset[str]  # methods
    bought: frozenset[str]  # models


def optimum_by_enumeration(case: Case, *, at_most: int) -> float:
    """The largest objective; minus infinity where no set of actions satisfies the limits.

    Raises ``OverflowError`` when more than ``at_most`` sets of actions are affordable.
    """
    if case.moves:
        return max(optimum_by_enumeration(moved, at_most=at_most) for moved in _after_moves(case))
    plans = []
    for plan in _affordable(case, [list(_packages(case, site)) for site in case.sites]):
        plans.append(plan)
        if len(plans) > at_most:
            raise OverflowError(f"more than {at_most} sets of actions are affordable")
    ceilings = [_ceiling(case, plan) for plan in plans]
    best = -math.inf
    for ceiling, position in sorted(zip(ceilings, range(len(plans)), strict=True), reverse=True):
        if ceiling <= best:
            break  # no later plan could do better even with endless hours and money
        best = max(best, _best_use(case, plans[position]))
    return best


def _after_moves(case: Case) -> Iterator[Case]:
    """The case as it is after each possible set of moves that capital can pay for."""
    for quantities in product(*(range(move.units + 1) for move in case.moves)):
        units = {(entry.site, entry.model): entry.working for entry in case.stock}
        broken = {(entry.site, entry.model): entry.broken for entry in case.stock}
        left, capital = dict(units), case.limits.capital
        for move, quantity in zip(case.moves, quantities, strict=True):
            capital -= quantity * move.cost
            left[move.origin, move.model] = left.get((move.origin, move.model), 0) - quantity
            units[move.origin, move.model] = units.get((move.origin, move.model), 0) - quantity
            units[move.to, move.model] = units.get((move.to, move.model), 0) + quantity
        if capital >= 0 and min(left.values(), default=0) >= 0:
            entries = tuple(
                Stock(site=site, model=model, working=n, broken=broken.get((site, model), 0))
                for (site, model), n in units.items()
            )
            limits = case.limits.model_copy(update={"capital": capital})
            yield case.model_copy(update={"stock": entries, "limits": limits, "moves": ()})


def _packages(case: Case, site: Site) -> Iterator[Package]:
    stock = {entry.model: entry for entry in case.stock if entry.site == site.code}
    choices: dict[Action, range] = {}
    for model in filter(lambda model: is_graded(case, model), case.device_models):
        most = case.limits.max_units if model.max_units is None else model.max_units
        choices["buy", model.code] = range(most + 1)
        if model.code in stock:
            choices["repair", model.code] = range(stock[model.code].broken + 1)
    for skill in case.skills:
        if skill.code not in site.skills:
            choices["train", skill.code] = range(2)
    for item in case.infrastructure:
        if item.code not in site.infrastructure and str(site.level) in item.cost:
            choices["provide", item.code] = range(2)
    for entry in case.fixed:
        if entry.site == site.code:
            allowed = choices.get((entry.kind, entry.item), range(1))
            most = allowed.stop - 1 if entry.at_most is None else entry.at_most
            choices[entry.kind, entry.item] = range(entry.at_least, min(most + 1, allowed.stop))
    working = {code: entry.working for code, entry in stock.items()}
    for quantities in product(*choices.values()):
        chosen = {a: n for a, n in zip(choices, quantities, strict=True) if n}
        if _is_complete(case, site, chosen):
            yield _package(case, site, working, chosen)


def _is_complete(case: Case, site: Site, chosen: Mapping[Action, int]) -> bool:
    """Of each bundle that is bought, everything is there or given."""
    able = {*site.skills, *(item for kind, item in chosen if kind == "train")}
    supplied = {*site.infrastructure, *(item for kind, item in chosen if kind == "provide")}
    return all(
        able.issuperset(bundle.skills) and supplied.issuperset(bundle.infrastructure)
        for bundle in case.bundles
        if ("buy", bundle.model) in chosen
    )


def _package(
    case: Case, site: Site, working: Mapping[str, int], chosen: Mapping[Action, int]
) -> Package:
    models = {model.code: model for model in case.device_models}
    skills = {skill.code: skill for skill in case.skills}
    provided = {item.code: item for item in case.infrastructure}
    units = dict(working)
    costs, recurrent, days = [], 0.0, 0.0
    for (kind, item), quantity in chosen.items():
        if kind in ("buy", "repair"):
            model = models[item]
            extra = sum(b.cost for b in case.bundles if b.model == item)
            price = model.price + extra if kind == "buy" else model.repair_cost
            costs.append((quantity * price, frozenset(model.programmes)))
            recurrent += quantity * model.annual_cost
            success = 1 if kind == "buy" else model.repair_success
            units[item] = units.get(item, 0) + success * quantity
        elif kind == "train":
            costs.append((skills[item].training_cost, frozenset()))
            recurrent += skills[item].supervision_cost * case.limits.supervised_share
            days += skills[item].trainer_days
        else:
            costs.append((provided[item].cost[str(site.level)], frozenset()))
    able = {*site.skills, *(item for kind, item in chosen if kind == "train")}
    supplied = {*site.infrastructure, *(item for kind, item in chosen if kind == "provide")}
    runs = frozenset(
        method.code
        for method in case.methods
        if able.issuperset(method.skills)
        and supplied.issuperset(method.infrastructure)
        and all(
            any(units.get(model.code, 0) for model in suiting_models(case, need))
            for need in method.needs
        )
    )
    bought = frozenset(item for kind, item in chosen if kind == "buy")
    return Package(tuple(costs), recurrent, days, units, runs, bought)


def _affordable(case: Case, choices: list[list[Package]]) -> Iterator[tuple[Package, ...]]:
    """Every combination of one package per site that the funds and trainer days allow."""

    def extended(chosen: tuple[Package, ...]) -> Iterator[tuple[Package, ...]]:
        if not _payable(case, chosen) or not _standard(case, chosen):
            return  # costs and models only grow with further sites
        if len(chosen) == len(choices):
            yield chosen
            return
        for package in choices[len(chosen)]:
            yield from extended((*chosen, package))

    return extended(())


def _standard(case: Case, plan: tuple[Package, ...]) -> bool:
    """Of each class no more models are bought than the case allows."""
    bought = {code for package in plan for code in package.bought}
    return all(
        sum(
            any(role.device_class == device_class for role in model.serves)
            for model in case.device_models
            if model.code in bought
        )
        <= most
        for device_class, most in case.limits.models_per_class.items()
    )


def _payable(case: Case, plan: tuple[Package, ...]) -> bool:
    """For every set of earmarks left aside, the rest pays what only the rest may pay (Hall)."""
    limits = case.limits
    days = sum(package.trainer_days for package in plan)
    if limits.trainer_days is not None and days > limits.trainer_days:
        return False
    costs = [cost for package in plan for cost in package.costs]
    every = frozenset(limits.earmarks)
    for aside in map(frozenset, _subsets(every)):
        rest = limits.capital + sum(limits.earmarks[code] for code in every - aside)
        if sum(amount for amount, payers in costs if not payers & aside) > rest:
            return False
    return True


def _subsets(codes: frozenset[str]) -> Iterator[tuple[str, ...]]:
    return chain.from_iterable(combinations(sorted(codes), n) for n in range(len(codes) + 1))


def _ways(case: Case, plan: tuple[Package, ...]) -> list[tuple[Site, int, Method, float, float]]:
    """(origin, position of the site, method, demand, cost of one test) for all that can run."""
    tests = {test.code: test for test in case.tests}
    links = {(link.origin, link.to): link for link in case.links}
    ways = []
    for (at, package), origin in product(enumerate(plan), case.sites):
        site = case.sites[at]
        for method in case.methods:
            asked = origin.demand.get(method.test, 0.0)
            if method.code not in package.runs or not asked:
                continue
            cost = method.consumable_cost
            if origin.code != site.code:
                link = links.get((origin.code, site.code))
                longest_h = tests[method.test].max_transport_hours
                if link is None or longest_h is None or link.hours > longest_h:
                    continue
                cost += link.cost
            ways.append((origin, at, method, asked, cost))
    return ways


def _worth(case: Case, method: Method) -> float:
    [weight] = [test.weight for test in case.tests if test.code == method.test]
    return weight * method.sensitivity


def _ceiling(case: Case, plan: tuple[Package, ...]) -> float:
    """Everybody served by the best way there is: at least what hours and money allow."""
    best: dict[tuple[str, str], float] = {}
    for origin, _, method, asked, _ in _ways(case, plan):
        key = (origin.code, method.test)
        best[key] = max(best.get(key, 0.0), asked * _worth(case, method))
    return sum(best.values())


def _best_use(case: Case, plan: tuple[Package, ...]) -> float:
    """The best volumes for what stands there; minus infinity if running cost or floors forbid."""
    ways = _ways(case, plan)
    splits = [
        (way, number, model.code)
        for way, (_, at, method, _, _) in enumerate(ways)
        for number, need in enumerate(method.needs)
        for model in suiting_models(case, need)
        if need.hours and plan[at].units.get(model.code, 0)
    ]
    width = len(ways) + len(splits)
    worths = [_worth(case, method) for _, _, method, _, _ in ways]
    rows = _usage_rows(case, plan, ways, splits) + _floor_rows(case, ways, worths)
    balance = _balance_rows(ways, splits)
    if not width:
        return 0.0 if all(limit >= 0 for _, limit in rows) else -math.inf
    answer = linprog(
        c=-np.array(worths + [0.0] * len(splits)),
        A_ub=np.array([_dense(row, width) for row, _ in rows]),
        b_ub=np.array([limit for _, limit in rows]),
        A_eq=np.array([_dense(row, width) for row in balance]) if balance else None,
        b_eq=np.zeros(len(balance)) if balance else None,
        method="highs",
    )
    if answer.status == INFEASIBLE:
        return -math.inf
    assert answer.status == 0, answer.message
    return -answer.fun


def _dense(row: Mapping[int, float], width: int) -> np.ndarray:
    dense = np.zeros(width)
    for column, factor in row.items():
        dense[column] = factor
    return dense


def _usage_rows(case, plan, ways, splits) -> list[tuple[dict[int, float], float]]:
    """Demand, staff hours, machine hours and running cost, each as terms and a limit."""
    demand: dict[tuple[str, str], tuple[dict[int, float], float]] = {}
    staff = [({}, site.staff_hours) for site in case.sites]
    running, fixed = {}, sum(package.recurrent for package in plan)
    for column, (origin, at, method, asked, cost) in enumerate(ways):
        demand.setdefault((origin.code, method.test), ({}, asked))[0][column] = 1.0
        staff[at][0][column] = method.staff_hours
        running[column] = cost
    rows = [*demand.values(), *staff, *_repair_rows(case, plan, ways)]
    for at, package in enumerate(plan):
        for model in case.device_models:
            used = {
                len(ways) + column: 1.0
                for column, (way, _, code) in enumerate(splits)
                if ways[way][1] == at and code == model.code
            }
            rows.append(
                (used, package.units.get(model.code, 0) * model.hours_per_year * model.uptime)
            )
    if case.limits.recurrent is not None:
        rows.append((running, case.limits.recurrent - fixed))
    return rows


def _repair_rows(case, plan, ways) -> list[tuple[dict[int, float], float]]:
    """Ways of one test that hang on the same unsure units share what these are to be worth."""
    rows: dict[tuple, tuple[dict[int, float], float]] = {}
    sets = {
        frozenset(model.code for model in suiting_models(case, need))
        for method in case.methods
        for need in method.needs
    }
    for column, (origin, at, method, asked, _) in enumerate(ways):
        own = [frozenset(m.code for m in suiting_models(case, need)) for need in method.needs]
        for models in sets:
            units = sum(plan[at].units.get(code, 0) for code in models)
            if units < 1 and any(models >= its for its in own):
                key = origin.code, at, method.test, models
                rows.setdefault(key, ({}, units * asked))[0][column] = 1.0
    return list(rows.values())


def _balance_rows(ways, splits) -> list[dict[int, float]]:
    """The hours of each need of each way are split in full over the models there."""
    rows = []
    for way, (_, _, method, _, _) in enumerate(ways):
        for number, need in enumerate(method.needs):
            row = {
                len(ways) + column: -1.0
                for column, (owner, which, _) in enumerate(splits)
                if (owner, which) == (way, number)
            }
            if need.hours:
                rows.append({way: need.hours, **row})
    return rows


def _floor_rows(case: Case, ways, worths) -> list[tuple[dict[int, float], float]]:
    rows = []
    for area in case.areas:
        possible = sum(
            asked * max((_worth(case, m) for m in case.methods if m.test == test), default=0.0)
            for site in case.sites
            if site.area == area.code
            for test, asked in site.demand.items()
        )
        reached = {
            column: -worth
            for column, ((origin, *_), worth) in enumerate(zip(ways, worths, strict=True))
            if origin.area == area.code
        }
        rows.append((reached, -area.floor * possible))
    return rows
