"""The problem as it is stated: equations (1) to (9) of ``method.md``, one function each.

This is the statement to read, to print and to hold others against. What is solved is
``tight.py``: the same optimum in a smaller form that is solved sooner.
"""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import pulp

from planner.engine.allocation.statement import Statement
from planner.engine.asking import LeastMoney
from planner.engine.case import Case


def stated(case: Case) -> Statement:
    """The whole problem of ``case`` in PuLP, ready to be printed or solved."""
    statement = Statement(case)
    for add in (
        maximise_the_worth_of_tests,
        need_a_working_unit,
        need_trained_staff,
        need_infrastructure,
        serve_at_most_the_demand,
        serve_only_where_it_runs,
        serve_as_far_as_repairs_succeed,
        keep_staff_hours,
        split_machine_hours,
        keep_machine_hours,
        draw_for_tagged_devices_only,
        keep_to_the_earmarks,
        keep_to_the_capital,
        keep_to_the_running_cost,
        keep_to_the_trainer_days,
        reach_the_floors,
        complete_the_bundles,
        move_only_what_is_there,
        buy_only_chosen_models,
        keep_to_the_models_per_class,
        reach_the_minimum_sets,
        meet_the_targets,
    ):
        add(statement)
    return statement


def maximise_the_worth_of_tests(statement: Statement) -> None:
    """(0) Every correct test counts by the weight of its kind."""
    worth = worth_of_methods(statement)
    statement.problem.setObjective(
        _sum(worth[m] * statement.volume(o, s, m) for o, s, m in statement.volume)
    )


def need_a_working_unit(statement: Statement) -> None:
    """(1a) A method runs only if each of its needs is met by a working unit that suits."""
    for s, m in statement.on:
        for n, models in enumerate(statement.suiting[m]):
            units = _sum(statement.units(s, d) for d in models)
            _add(statement, statement.on(s, m) <= units, need_a_working_unit, s, m, n)


def need_trained_staff(statement: Statement) -> None:
    """(1b) A method runs only if each of its skills is there or trained."""
    for s, m in statement.on:
        for k, skill in enumerate(statement.case.skills):
            if skill.code in statement.case.methods[m].skills:
                there = int(skill.code in statement.case.sites[s].skills)
                runs = statement.on(s, m) <= there + statement.train(s, k)
                _add(statement, runs, need_trained_staff, s, m, k)


def need_infrastructure(statement: Statement) -> None:
    """(1c) A method runs only if each of its infrastructure items is there or provided."""
    for s, m in statement.on:
        for i, item in enumerate(statement.case.infrastructure):
            if item.code in statement.case.methods[m].infrastructure:
                there = int(item.code in statement.case.sites[s].infrastructure)
                runs = statement.on(s, m) <= there + statement.provide(s, i)
                _add(statement, runs, need_infrastructure, s, m, i)


def serve_at_most_the_demand(statement: Statement) -> None:
    """(2) Nobody gets more of a test than they ask for, whoever does it."""
    number = {test.code: t for t, test in enumerate(statement.case.tests)}
    served = defaultdict(list)
    for o, s, m in statement.volume:
        served[o, statement.case.methods[m].test].append(statement.volume(o, s, m))
    for (o, test), volumes in sorted(served.items()):
        demand = statement.case.sites[o].demand[test]
        _add(statement, _sum(volumes) <= demand, serve_at_most_the_demand, o, number[test])


def serve_only_where_it_runs(statement: Statement) -> None:
    """(3) A test is done only where, and by a method that, runs."""
    for o, s, m in statement.volume:
        most = statement.demand(o, m) * statement.on(s, m)
        _add(statement, statement.volume(o, s, m) <= most, serve_only_where_it_runs, o, s, m)


def serve_as_far_as_repairs_succeed(statement: Statement) -> None:
    """(3b) Of a test, the ways that need the same units share what repairs are likely to give."""
    kinds = {frozenset(models) for needs in statement.suiting for models in needs}
    unsure = {d for d, model in enumerate(statement.case.device_models) if model.repair_success < 1}
    for number, kind in enumerate(sorted(filter(unsure.intersection, kinds), key=sorted)):
        needing = [any(kind >= set(models) for models in needs) for needs in statement.suiting]
        served = defaultdict(list)
        for o, s, m in statement.volume:
            if needing[m] and any(statement.repair(s, d) for d in kind):
                served[o, s, statement.case.methods[m].test].append((o, s, m))
        for at, (_, ways) in enumerate(sorted(served.items())):
            o, s, m = ways[0]
            most = statement.demand(o, m) * _sum(statement.units(s, d) for d in kind)
            done = _sum(statement.volume(*way) for way in ways)
            _add(statement, done <= most, serve_as_far_as_repairs_succeed, number, at)


def keep_staff_hours(statement: Statement) -> None:
    """(4) The tests done at a site take no more hours than its staff has."""
    used = defaultdict(list)
    for o, s, m in statement.volume:
        used[s].append(statement.case.methods[m].staff_hours * statement.volume(o, s, m))
    for s, hours in used.items():
        most = statement.case.sites[s].staff_hours
        _add(statement, _sum(hours) <= most, keep_staff_hours, s)


def split_machine_hours(statement: Statement) -> None:
    """(5a) The hours that a need of a method takes are spent on models that suit it."""
    for s, m in statement.on:
        tests = _sum(statement.volume(o, s, m) for o in statement.origins[s, m])
        for n, need in enumerate(statement.case.methods[m].needs):
            spent = _sum(statement.hours(s, m, n, d) for d in statement.suiting[m][n])
            _add(statement, spent == need.hours * tests, split_machine_hours, s, m, n)


def keep_machine_hours(statement: Statement) -> None:
    """(5b) The units of a model work no more hours than they have, whatever for."""
    spent = defaultdict(list)
    for s, m, n, d in statement.hours:
        spent[s, d].append(statement.hours(s, m, n, d))
    for (s, d), hours in sorted(spent.items()):
        have = statement.case.device_models[d].hours_up * statement.units(s, d)
        _add(statement, _sum(hours) <= have, keep_machine_hours, s, d)


def draw_for_tagged_devices_only(statement: Statement) -> None:
    """(6a) Earmarks together pay no more for a model than its purchases and repairs cost."""
    for d in sorted({d for _, d in statement.drawn}):
        drawn = _sum(statement.drawn(p, model) for p, model in statement.drawn if model == d)
        spent = _spent_on_model(statement, d)
        _add(statement, drawn <= spent, draw_for_tagged_devices_only, d)


def keep_to_the_earmarks(statement: Statement) -> None:
    """(6b) Each earmark pays no more than it holds."""
    for p, programme in enumerate(statement.case.programmes):
        drawn = _sum(statement.drawn(fund, d) for fund, d in statement.drawn if fund == p)
        money = statement.case.limits.earmarks.get(programme.code, 0.0)
        _add(statement, drawn <= money, keep_to_the_earmarks, p)


def keep_to_the_capital(statement: Statement) -> None:
    """(6c) What no earmark pays, general capital pays."""
    case = statement.case
    drawn = _sum(statement.drawn(p, d) for p, d in statement.drawn)
    _add(statement, money_spent(statement) - drawn <= case.limits.capital, keep_to_the_capital)


def keep_to_the_running_cost(statement: Statement) -> None:
    """(7) Upkeep of what is added, supervision, consumables and transport fit a year's money."""
    case = statement.case
    if case.limits.recurrent is None:
        return
    transport = {(link.origin, link.to): link.cost for link in case.links}
    codes = [site.code for site in case.sites]
    upkeep = _sum(
        case.device_models[d].annual_cost * family(s, d)
        for family in (statement.buy, statement.repair)
        for s, d in family
    )
    supervision = _sum(
        case.skills[k].supervision_cost * case.limits.supervised_share * statement.train(s, k)
        for s, k in statement.train
    )
    tests = _sum(
        (case.methods[m].consumable_cost + (transport[codes[o], codes[s]] if o != s else 0.0))
        * statement.volume(o, s, m)
        for o, s, m in statement.volume
    )
    limit = upkeep + supervision + tests <= case.limits.recurrent
    _add(statement, limit, keep_to_the_running_cost)


def keep_to_the_trainer_days(statement: Statement) -> None:
    """(8) Training takes no more days than the trainers have."""
    limit = statement.case.limits.trainer_days
    if limit is not None:
        days = _sum(
            statement.case.skills[k].trainer_days * statement.train(s, k)
            for s, k in statement.train
        )
        _add(statement, days <= limit, keep_to_the_trainer_days)


def reach_the_floors(statement: Statement) -> None:
    """(9) The people of each area get at least its share of the most that they could get."""
    worth = worth_of_methods(statement)
    best: dict[str, float] = defaultdict(float)
    for method, value in zip(statement.case.methods, worth, strict=True):
        best[method.test] = max(best[method.test], value)
    for a, area in enumerate(statement.case.areas):
        inside = {s for s, site in enumerate(statement.case.sites) if site.area == area.code}
        possible = sum(
            volume * best[test]
            for s in sorted(inside)
            for test, volume in sorted(statement.case.sites[s].demand.items())
        )
        reached = _sum(
            worth[m] * statement.volume(o, s, m) for o, s, m in statement.volume if o in inside
        )
        if area.floor > 0:
            _add(statement, reached >= area.floor * possible, reach_the_floors, a)


def complete_the_bundles(statement: Statement) -> None:
    """(11) A model is bought only where all that belongs to its bundle is there or given."""
    case = statement.case
    bundle_of = {bundle.model: bundle for bundle in case.bundles}
    for s, d in statement.buy:
        model, site = case.device_models[d], case.sites[s]
        if (bundle := bundle_of.get(model.code)) is None:
            continue
        most, bought = model.most_bought(case.limits), statement.buy(s, d)
        for k, skill in enumerate(case.skills):
            if skill.code in bundle.skills and skill.code not in site.skills:
                given = bought <= most * statement.train(s, k)
                _add(statement, given, complete_the_bundles, s, d, k)
        for i, item in enumerate(case.infrastructure):
            if item.code in bundle.infrastructure and item.code not in site.infrastructure:
                given = bought <= most * statement.provide(s, i)
                _add(statement, given, complete_the_bundles, s, d, len(case.skills) + i)


def move_only_what_is_there(statement: Statement) -> None:
    """(12) No more units of a model leave a site than work there."""
    for (s, d), moves in sorted(statement.moves_from.items()):
        taken = _sum(statement.move(k) for k in moves)
        _add(statement, taken <= statement.working(s, d), move_only_what_is_there, s, d)


def buy_only_chosen_models(statement: Statement) -> None:
    """(13a) Of the models of a class that is to be standardised, only chosen ones are bought."""
    for s, d in statement.buy:
        if (d,) in statement.chosen.variables:
            most = statement.case.device_models[d].most_bought(statement.case.limits)
            chosen = statement.buy(s, d) <= most * statement.chosen(d)
            _add(statement, chosen, buy_only_chosen_models, s, d)


def keep_to_the_models_per_class(statement: Statement) -> None:
    """(13b) At most so many models of such a class are chosen."""
    standards = sorted(statement.case.limits.models_per_class.items())
    for number, (device_class, most) in enumerate(standards):
        chosen = _sum(
            statement.chosen(d)
            for d, model in enumerate(statement.case.device_models)
            if any(role.device_class == device_class for role in model.serves)
        )
        _add(statement, chosen <= most, keep_to_the_models_per_class, number)


def reach_the_minimum_sets(statement: Statement) -> None:
    """(14) A site reaches a test of a minimum set if its share of the demand is done."""
    number = {test.code: t for t, test in enumerate(statement.case.tests)}
    for n, s, t in statement.reached:
        demand = statement.case.sites[s].demand[statement.case.tests[t].code]
        least = statement.case.minimum_sets[n].share * demand * statement.reached(n, s, t)
        done = _sum(
            statement.volume(o, at, m)
            for o, at, m in statement.volume
            if o == s and number[statement.case.methods[m].test] == t
        )
        _add(statement, least <= done, reach_the_minimum_sets, n, s, t)


def meet_the_targets(statement: Statement) -> None:
    """(15) A target is met in the part to which its people get its share of what is possible."""
    case, worth = statement.case, worth_of_methods(statement)
    test = {each.code: each for each in case.tests}
    best: dict[str, float] = defaultdict(float)
    for method, value in zip(case.methods, worth, strict=True):
        best[method.test] = max(best[method.test], value)
    for number, target in enumerate(case.aim.targets if isinstance(case.aim, LeastMoney) else ()):
        sites = {s for s, site in enumerate(case.sites) if target.area in (None, site.area)}
        tests = {t for t in test if target.programme in (None, test[t].programme)}
        possible = sum(
            volume * best[code]
            for s in sorted(sites)
            for code, volume in sorted(case.sites[s].demand.items())
            if code in tests
        )
        reached = _sum(
            worth[m] * statement.volume(o, at, m)
            for o, at, m in statement.volume
            if o in sites and case.methods[m].test in tests
        )
        least = target.share * possible * statement.met(number)
        _add(statement, least <= reached, meet_the_targets, number)


def pairs_reached(statement: Statement) -> Any:
    """What is sought first where there are minimum sets: as many pairs as possible."""
    return _sum(statement.reached(*at) for at in statement.reached)


def targets_met(statement: Statement) -> Any:
    """What is sought next where there are targets: as many of them as possible."""
    return _sum(statement.met(*at) for at in statement.met)


def money_spent(statement: Statement) -> Any:
    """What is sought after that, to be small: the cost of all actions."""
    case = statement.case
    devices = _sum(_spent_on_model(statement, d) for d in range(len(case.device_models)))
    training = _sum(
        case.skills[k].training_cost * statement.train(s, k) for s, k in statement.train
    )
    items = _sum(
        statement.price_of_item(s, i) * statement.provide(s, i) for s, i in statement.provide
    )
    moved = _sum(case.moves[k].cost * statement.move(k) for (k,) in statement.move)
    return devices + training + items + moved


def worth_of_methods(statement: Statement) -> list[float]:
    """Of each method, weight of its test times sensitivity: the worth of one test."""
    weight = {test.code: test.weight for test in statement.case.tests}
    return [weight[method.test] * method.sensitivity for method in statement.case.methods]


def _spent_on_model(statement: Statement, d: int) -> Any:
    model = statement.case.device_models[d]
    price = statement.price_of_model(d)
    bought = _sum(price * statement.buy(s, b) for s, b in statement.buy if b == d)
    return bought + _sum(
        model.repair_cost * statement.repair(s, r) for s, r in statement.repair if r == d
    )


def _sum(terms: Iterable[Any]) -> Any:
    return pulp.lpSum(terms)


def _add(statement: Statement, row: Any, equation: Any, *at: int) -> None:
    """Add ``row`` under the name of its equation and its position."""
    if len(row) > 0 or not row.valid():
        name = "_".join([equation.__name__, *map(str, at)])
        statement.problem.addConstraint(row, name)
