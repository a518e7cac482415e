"""The optimum of a case by the eight constraints of ``case-format.md``, written as they stand.

Big, plain and slow on purpose: every binary of the statement is there, machine hours have
one variable for each need and model, and money one for each fund and item.
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Iterator
from itertools import product

from planner.engine.asking import LeastMoney
from planner.engine.case import Case
from tests.independent.program import Program
from tests.independent.suiting import is_graded, suiting_models

CAPITAL = "capital"  # the fund that any item may draw on


def optimum(case: Case) -> float:
    """The largest objective; minus infinity where the limits exclude every plan."""
    answer = stated(case).maximise()
    return -math.inf if answer is None else answer[0]


def optimum_before(case: Case) -> float:
    """The same with no buying, repair, training or providing, and no floors."""
    program = stated(case, fixed={}, floors=False)
    answer = program.maximise()
    assert answer is not None, "doing nothing satisfies every constraint but a floor"
    return answer[0]


def stated(case: Case, *, fixed: dict[Hashable, int] | None = None, floors: bool = True) -> Program:
    """The program of ``case``; with ``fixed``, those quantities and no other action are taken."""
    program = Program()
    actions = possible_actions(case)
    asked = {(entry.kind, entry.site, entry.item): entry for entry in case.fixed}
    for action, (upper, _, _) in actions.items():
        if fixed is None:
            program.add(action, upper=upper, whole=True)
            if action in asked:
                program.at_most({action: -1}, -asked[action].at_least)
                if asked[action].at_most is not None:
                    program.at_most({action: 1}, asked[action].at_most)
        else:
            program.add(action, upper=fixed.get(action, 0))
            program.exactly({action: 1}, fixed.get(action, 0))
    ways = list(_ways(case))
    _enable(case, program, actions)
    _serve(case, program, ways)
    _share_what_repairs_give(case, program, actions, ways)
    _staff_and_machines(case, program, actions, ways)
    _capital(case, program, actions)
    _belong_together(case, program, actions)
    _limits(case, program, actions)
    if floors:
        _floors(case, program, ways)
    _reach(case, program, ways)
    return program


def possible_actions(
    case: Case,
) -> dict[tuple[str, ...], tuple[int, float, tuple[str, ...]]]:
    """(kind, site, item) -> greatest quantity, price of one, funds beside capital that may pay.

    A move has a fourth part, the site that the unit comes from.
    """
    broken = {(entry.site, entry.model): entry.broken for entry in case.stock}
    earmarked = {
        model.code: tuple(p for p in model.programmes if p in case.limits.earmarks)
        for model in case.device_models
    }
    actions = {}
    for site in case.sites:
        for model in case.device_models:
            if not is_graded(case, model):
                continue
            funds = earmarked[model.code]
            units = case.limits.max_units if model.max_units is None else model.max_units
            price = model.price + sum(b.cost for b in case.bundles if b.model == model.code)
            actions["buy", site.code, model.code] = (units, price, funds)
            units = broken.get((site.code, model.code), 0)
            actions["repair", site.code, model.code] = (units, model.repair_cost, funds)
        for skill in case.skills:
            if skill.code not in site.skills:
                actions["train", site.code, skill.code] = (1, skill.training_cost, ())
        for item in case.infrastructure:
            if item.code not in site.infrastructure and str(site.level) in item.cost:
                actions["provide", site.code, item.code] = (1, item.cost[str(site.level)], ())
    for move in case.moves:
        actions["move", move.to, move.model, move.origin] = (move.units, move.cost, ())
    return actions


def _ways(case: Case) -> Iterator[tuple[str, str, str]]:
    """(origin, site, method) for which a volume may be above zero."""
    tests = {test.code: test for test in case.tests}
    for method in case.methods:
        longest_h = tests[method.test].max_transport_hours
        for site in case.sites:
            yield site.code, site.code, method.code
        for link in case.links:
            if link.origin != link.to and longest_h is not None and link.hours <= longest_h:
                yield link.origin, link.to, method.code


def _units(case: Case, site: str, model: str, actions) -> tuple[dict[Hashable, float], int]:
    """Working units to be expected as terms of the program and a constant."""
    working = sum(e.working for e in case.stock if (e.site, e.model) == (site, model))
    [success] = [m.repair_success for m in case.device_models if m.code == model]
    terms = {("buy", site, model): 1.0, ("repair", site, model): success}
    for action in actions:
        if action[0] == "move" and action[2] == model and site in (action[1], action[3]):
            terms[action] = 1.0 if site == action[1] else -1.0
    return {term: factor for term, factor in terms.items() if term in actions}, working


def _enable(case: Case, program: Program, actions) -> None:
    """(1) A method is on only where every need, skill and infrastructure item is met."""
    for site in case.sites:
        for method in case.methods:
            on = ("on", site.code, method.code)
            program.add(on, upper=1, whole=_repairs_are_sure(case))
            for need in method.needs:
                row, constant = {on: 1.0}, 0
                for model in suiting_models(case, need):
                    terms, working = _units(case, site.code, model.code, actions)
                    row |= {term: -factor for term, factor in terms.items()}
                    constant += working
                program.at_most(row, constant)
            for kind, wanted, present in (
                ("train", method.skills, site.skills),
                ("provide", method.infrastructure, site.infrastructure),
            ):
                for item in wanted:
                    if item not in present:
                        action = (kind, site.code, item)
                        program.at_most(
                            {on: 1.0} | ({action: -1.0} if action in actions else {}), 0
                        )


def _serve(case: Case, program: Program, ways) -> None:
    """(2) No more than the demand; (3) only by methods that are on."""
    methods = {method.code: method for method in case.methods}
    tests = {test.code: test for test in case.tests}
    demand = {(site.code, test): d for site in case.sites for test, d in site.demand.items()}
    served = defaultdict(dict)
    for origin, site, code in ways:
        method = methods[code]
        asked = demand.get((origin, method.test), 0.0)
        q = ("q", origin, site, code)
        program.add(q, upper=asked, value=tests[method.test].weight * method.sensitivity)
        program.at_most({q: 1.0, ("on", site, code): -asked}, 0)
        served[origin, method.test][q] = 1.0
    for key, terms in served.items():
        program.at_most(terms, demand.get(key, 0.0))


def _repairs_are_sure(case: Case) -> bool:
    return all(model.repair_success == 1 for model in case.device_models)


def _share_what_repairs_give(case: Case, program: Program, actions, ways) -> None:
    """(3, unsure repairs) For each set of models, the ways of a test that hang on no others
    serve no greater share of a demand than the units of the set that are to be expected."""
    if _repairs_are_sure(case):
        return
    sets = {
        (method.code, number): frozenset(m.code for m in suiting_models(case, need))
        for method in case.methods
        for number, need in enumerate(method.needs)
    }
    demand = {(site.code, test): d for site in case.sites for test, d in site.demand.items()}
    methods = {method.code: method for method in case.methods}
    for origin, site, test in {(o, s, methods[m].test) for o, s, m in ways}:
        asked = demand.get((origin, test), 0.0)
        for models in set(sets.values()):
            row, constant = {}, 0.0
            for o, s, m in ways:
                hangs = any(models >= sets[m, n] for n in range(len(methods[m].needs)))
                if (o, s, methods[m].test) == (origin, site, test) and hangs:
                    row["q", o, s, m] = 1.0
            for model in models:
                terms, working = _units(case, site, model, actions)
                row |= {term: -factor * asked for term, factor in terms.items()}
                constant += working * asked
            program.at_most(row, constant)


def _staff_and_machines(case: Case, program: Program, actions, ways) -> None:
    """(4) Staff hours; (5) a split of every need's hours over suiting models within capacity."""
    for site in case.sites:
        staff, load = {}, defaultdict(dict)
        for method in case.methods:
            volumes = [("q", o, s, m) for o, s, m in ways if (s, m) == (site.code, method.code)]
            staff |= dict.fromkeys(volumes, method.staff_hours)
            for number, need in enumerate(method.needs):
                split = {}
                for model in suiting_models(case, need):
                    hours = ("hours", site.code, method.code, number, model.code)
                    program.add(hours)
                    split[hours] = -1.0
                    load[model.code][hours] = 1.0
                program.exactly(dict.fromkeys(volumes, need.hours) | split, 0)
        program.at_most(staff, site.staff_hours)
        for model in case.device_models:
            terms, working = _units(case, site.code, model.code, actions)
            each_h = model.hours_per_year * model.uptime
            there = {term: -each_h * factor for term, factor in terms.items()}
            program.at_most(load[model.code] | there, working * each_h)


def _capital(case: Case, program: Program, actions) -> None:
    """(6) Money drawn from capital and the earmarks pays every action."""
    drawn = defaultdict(dict)
    for action, (_, price, earmarks) in actions.items():
        paid = {("pay", fund, *action): 1.0 for fund in (CAPITAL, *earmarks)}
        for name in paid:
            program.add(name)
            drawn[name[1]][name] = 1.0
        program.exactly(paid | {action: -price}, 0)
    for fund, amount in {CAPITAL: case.limits.capital, **case.limits.earmarks}.items():
        program.at_most(drawn[fund], amount)


def _belong_together(case: Case, program: Program, actions) -> None:
    """Bundles are bought whole; only units that are there leave; few models of a class."""
    sites = {site.code: site for site in case.sites}
    for bundle in case.bundles:
        for code, site in sites.items():
            bought = ("buy", code, bundle.model)
            if bought not in actions:
                continue
            wanted = [("train", code, k) for k in bundle.skills if k not in site.skills]
            wanted += [
                ("provide", code, i) for i in bundle.infrastructure if i not in site.infrastructure
            ]
            for other in wanted:
                most = actions[bought][0]
                program.at_most({bought: 1} | ({other: -most} if other in actions else {}), 0)
    leaving = defaultdict(dict)
    for action in actions:
        if action[0] == "move":
            leaving[action[3], action[2]][action] = 1.0
    for (site, model), terms in leaving.items():
        working = sum(e.working for e in case.stock if (e.site, e.model) == (site, model))
        program.at_most(terms, working)
    for device_class, most in case.limits.models_per_class.items():
        chosen = {}
        for model in case.device_models:
            if any(role.device_class == device_class for role in model.serves):
                name = ("chosen", device_class, model.code)
                program.add(name, upper=1, whole=True)
                chosen[name] = 1.0
                for action, (units, _, _) in actions.items():
                    if action[0] == "buy" and action[2] == model.code:
                        program.at_most({action: 1, name: -units}, 0)
        program.at_most(chosen, most)


def _limits(case: Case, program: Program, actions) -> None:
    """(7) Running cost of the whole service; (8, first half) trainer days."""
    if case.limits.recurrent is not None:
        program.at_most(running_cost(case), case.limits.recurrent)
    if case.limits.trainer_days is not None:
        days = {skill.code: skill.trainer_days for skill in case.skills}
        trained = {action: days[action[2]] for action in actions if action[0] == "train"}
        program.at_most(trained, case.limits.trainer_days)


def _reach(case: Case, program: Program, ways) -> None:
    """Pairs of minimum sets that are reached, and parts of targets that are met."""
    methods = {method.code: method for method in case.methods}
    tests = {test.code: test for test in case.tests}
    for minimum, site, test in product(case.minimum_sets, case.sites, case.tests):
        asked = site.demand.get(test.code, 0.0)
        if site.level in minimum.levels and test.code in minimum.tests and asked:
            name = ("reached", minimum.code, site.code, test.code)
            program.add(name, upper=1, whole=True)
            done = {
                ("q", o, s, m): -1.0
                for o, s, m in ways
                if o == site.code and methods[m].test == test.code
            }
            program.at_most({name: minimum.share * asked} | done, 0)
    targets = case.aim.targets if isinstance(case.aim, LeastMoney) else ()
    for number, target in enumerate(targets):
        name, row, possible = ("met", number), {}, 0.0
        program.add(name, upper=1)
        for site, test in product(case.sites, case.tests):
            inside = target.area in (None, site.area)
            if inside and target.programme in (None, test.programme):
                worths = [test.weight * m.sensitivity for m in case.methods if m.test == test.code]
                possible += site.demand.get(test.code, 0.0) * max(worths, default=0.0)
        for o, s, m in ways:
            test = tests[methods[m].test]
            [area] = [site.area for site in case.sites if site.code == o]
            if target.area in (None, area) and target.programme in (None, test.programme):
                row["q", o, s, m] = -test.weight * methods[m].sensitivity
        program.at_most(row | {name: target.share * possible}, 0)


def running_cost(case: Case) -> dict[Hashable, float]:
    """What one of each action and one test of each way costs a year."""
    models = {model.code: model for model in case.device_models}
    skills = {skill.code: skill for skill in case.skills}
    methods = {method.code: method for method in case.methods}
    links = {(link.origin, link.to): link for link in case.links}
    cost = {}
    for action in possible_actions(case):
        kind, _, item, *_ = action
        if kind in ("buy", "repair"):
            cost[action] = models[item].annual_cost
        elif kind == "train":
            cost[action] = skills[item].supervision_cost * case.limits.supervised_share
    for origin, site, code in _ways(case):
        transport = 0.0 if origin == site else links[origin, site].cost
        cost["q", origin, site, code] = methods[code].consumable_cost + transport
    return cost


def _floors(case: Case, program: Program, ways) -> None:
    """(8, second half) Every area reaches its share of the most that its people could get."""
    worth = {
        (method.code): method.sensitivity
        * next(test.weight for test in case.tests if test.code == method.test)
        for method in case.methods
    }
    best = {
        test.code: max((worth[m.code] for m in case.methods if m.test == test.code), default=0.0)
        for test in case.tests
    }
    for area in case.areas:
        inside = {site.code for site in case.sites if site.area == area.code}
        possible = sum(
            volume * best[test]
            for site in case.sites
            if site.code in inside
            for test, volume in site.demand.items()
        )
        reached = {("q", o, s, m): -worth[m] for o, s, m in ways if o in inside}
        program.at_most(reached, -area.floor * possible)
