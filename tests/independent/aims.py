"""The plain statement solved aim by aim: each among the plans that do as well in those before."""

from collections import defaultdict
from collections.abc import Hashable

from planner.engine.asking import LeastMoney, WorstFirst
from planner.engine.case import Case
from tests.independent.program import Program
from tests.independent.statement import possible_actions, stated


def optimum_in_stages(case: Case) -> list[float]:
    """What is reached of each aim of the case, one after the other; empty if nothing can be.

    Pairs of the minimum sets, then parts of targets and money, or the shares of the groups
    in order, the worst-off first; last the objective.
    """
    program, reached = stated(case), []
    if not program.maximise():
        return []

    def seek(terms: dict[Hashable, float], sign: int = 1) -> float:
        program.value = [sign * terms.get(name, 0.0) for name in program.names]
        value = program.maximise()[0]
        program.at_most(
            {n: -sign * f for n, f in terms.items()}, -value + 1e-6 * max(1, abs(value))
        )
        return sign * value

    worth = dict(zip(program.names, program.value, strict=True))
    pairs = {name: 1.0 for name in program.names if name[0] == "reached"}
    if pairs:
        reached.append(seek(pairs))
    if isinstance(case.aim, LeastMoney):
        if met := {name: 1.0 for name in program.names if name[0] == "met"}:
            reached.append(seek(met))
        prices = {action: price for action, (_, price, _) in possible_actions(case).items()}
        reached.append(seek(prices, -1))
    if isinstance(case.aim, WorstFirst):
        reached += _raised(case, program, worth)
    return [*reached, seek(worth)]


def _raised(case: Case, program: Program, worth: dict[Hashable, float]) -> list[float]:
    """The share of each group, in rising order, secured in the program."""
    sites = {site.code: site for site in case.sites}
    of_group: dict[Hashable, dict[Hashable, float]] = defaultdict(dict)
    for name, value in worth.items():
        if name[0] == "q" and value:
            site = sites[name[1]]
            of_group[site.area if case.aim.over == "areas" else site.level][name] = value

    def best(terms: dict[Hashable, float], rows: list) -> float:
        kept = list(program.rows)
        program.rows += rows
        program.value = [terms.get(name, 0.0) for name in program.names]
        value = program.maximise()[0]
        program.rows = kept
        return value

    most = {group: best(terms, []) for group, terms in of_group.items()}
    rising = {group for group, value in most.items() if value > 1e-9}
    program.add("level", upper=1.0)
    shares = []
    while rising:
        rows = [({"level": most[g]} | {n: -f for n, f in of_group[g].items()}, 0.0) for g in rising]
        share = best({"level": 1.0}, rows)
        for group in rising:
            terms = {name: -factor for name, factor in of_group[group].items()}
            program.at_most(terms, -share * most[group] * (1 - 1e-8))
        stuck = {g for g in rising if best(of_group[g], []) <= (share + 1e-6) * most[g]}
        assert stuck
        shares += [share] * len(stuck)
        rising -= stuck
    return shares
